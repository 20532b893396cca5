#version 330
// What the phone adds at the end: lens distortion, sharpening, noise.
uniform sampler2D graded;
uniform sampler2D grains;
uniform vec2 size;
uniform ivec2 grain_shift;
uniform float sharpen;
uniform float grain;
uniform float distortion;
uniform float focal;  // of half a width
in vec2 place;
out vec4 result;

vec2 undistort(vec2 at) {
    vec2 shape = vec2(1.0, size.y / size.x);
    vec2 seen = (at * 2.0 - 1.0) * shape / focal;
    vec2 flat_at = seen;
    for (int i = 0; i < 5; i++) flat_at = seen / (1.0 + distortion * dot(flat_at, flat_at));
    return flat_at * focal / shape * 0.5 + 0.5;
}

vec3 at_pixel(ivec2 pixel) {
    return texelFetch(graded, clamp(pixel, ivec2(0), ivec2(size) - 1), 0).rgb;
}

void main() {
    vec3 middle, around;
    if (distortion == 0.0) {
        ivec2 pixel = ivec2(gl_FragCoord.xy);
        middle = texelFetch(graded, pixel, 0).rgb;
        around = at_pixel(pixel + ivec2(1, 0)) + at_pixel(pixel - ivec2(1, 0))
               + at_pixel(pixel + ivec2(0, 1)) + at_pixel(pixel - ivec2(0, 1));
    } else {
        vec2 at = undistort(place), step = 1.0 / size;
        middle = texture(graded, at).rgb;
        around = texture(graded, at + vec2(step.x, 0)).rgb + texture(graded, at - vec2(step.x, 0)).rgb
               + texture(graded, at + vec2(0, step.y)).rgb + texture(graded, at - vec2(0, step.y)).rgb;
    }
    vec3 colour = middle + sharpen * (middle - around * 0.25);
    vec3 rough = texelFetch(grains, (ivec2(gl_FragCoord.xy) + grain_shift) & 511, 0).rgb - 0.5;
    colour += grain * 6.0 * (1.3 - middle.g) * rough;
    result = vec4(colour, 1.0);
}
