#version 330
// Sharpening and noise, where something moves.
#include "sharpen.glsl"
uniform sampler2D graded;
out vec4 result;

vec3 at_pixel(ivec2 pixel) {
    return texelFetch(graded, clamp(pixel, ivec2(0), textureSize(graded, 0) - 1), 0).rgb;
}

void main() {
    ivec2 pixel = ivec2(gl_FragCoord.xy);
    vec3 around = at_pixel(pixel + ivec2(1, 0)) + at_pixel(pixel - ivec2(1, 0))
                + at_pixel(pixel + ivec2(0, 1)) + at_pixel(pixel - ivec2(0, 1));
    result = vec4(grained(sharpened(at_pixel(pixel), around)), 1.0);
}
