#version 330
// The still picture as the phone stores it, for the parts of the frame where nothing moves.
#include "tone.glsl"
#include "sharpen.glsl"
uniform sampler2D backdrop;
in vec2 place;
out vec4 result;

vec3 at_pixel(ivec2 pixel) {
    ivec2 last = textureSize(backdrop, 0) - 1;
    vec3 stored = texelFetch(backdrop, clamp(pixel, ivec2(0), last), 0).rgb;
    return tone(2.0 * stored * stored);
}

void main() {
    ivec2 pixel = ivec2(gl_FragCoord.xy);
    vec3 around = at_pixel(pixel + ivec2(1, 0)) + at_pixel(pixel - ivec2(1, 0))
                + at_pixel(pixel + ivec2(0, 1)) + at_pixel(pixel - ivec2(0, 1));
    result = vec4(sharpened(at_pixel(pixel), around), 1.0);
}
