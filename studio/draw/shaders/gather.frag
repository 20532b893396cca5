#version 330
// Adds one instant's figures to the rows that were open then. The instant was drawn `finer` times
// larger than the picture, and covers a part of it.
uniform sampler2D instant;
uniform sampler2D under;      // figures already added that this instant's club hides
uniform int hides;            // 1 where `under` counts
uniform ivec2 part_corner;    // of the part, in the picture's pixels from the bottom left
uniform int finer;
uniform float rows;
uniform float first_row_s;    // middle of the top row's exposure
uniform float readout_s;      // from the top row to the bottom one
uniform float exposure_s;
uniform vec2 covers_s;        // span of time that this instant stands for
out vec4 result;

float open_share() {
    float row = rows - gl_FragCoord.y;
    float middle = first_row_s + readout_s * row / rows;
    float begin = max(covers_s.x, middle - exposure_s * 0.5);
    float end = min(covers_s.y, middle + exposure_s * 0.5);
    return max(0.0, end - begin) / exposure_s;
}

void main() {
    float share = open_share();
    if (share <= 0.0) discard;
    // A fetch between four drawn pixels gives their mean.
    vec2 cell = (gl_FragCoord.xy - vec2(part_corner)) * float(finer) / vec2(textureSize(instant, 0));
    vec4 seen = texture(instant, cell);
    if (hides == 1) seen -= texture(under, cell) * seen.a;
    result = seen * share;
}
