#version 330
// Adds one instant's figures to the frame. The instant was drawn `finer` times larger than the
// picture, and covers a part of it; club and ball take the place of what they hide.
uniform sampler2D instant;
uniform sampler2D under;
uniform int hides;            // 1 where `under` counts
uniform ivec2 part_corner;    // of the part, in the picture's pixels from the bottom left
uniform float finer;
uniform float share;          // of the exposure
out vec4 result;

void main() {
    // A fetch between four drawn pixels gives their mean.
    vec2 cell = (gl_FragCoord.xy - vec2(part_corner)) * finer / vec2(textureSize(instant, 0));
    vec4 seen = texture(instant, cell);
    if (hides == 1) {
        if (seen.a == 0.0) discard;
        seen -= texture(under, cell) * seen.a;
    }
    result = seen * share;
}
