#version 330
// Turns the finished still picture with the hand's shake, and lays the sensor's noise over it.
#include "sharpen.glsl"
uniform sampler2D toned;
uniform mat3 to_backdrop;  // pixel in -1..1 to the backdrop's own
uniform int aligned;       // 1 where the backdrop's pixels are the picture's
in vec2 place;
out vec4 result;

void main() {
    vec3 colour;
    if (aligned == 1) colour = texelFetch(toned, ivec2(gl_FragCoord.xy), 0).rgb;
    else {
        vec3 still = to_backdrop * vec3(place * 2.0 - 1.0, 1.0);
        colour = texture(toned, still.xy / still.z * 0.5 + 0.5).rgb;
    }
    result = vec4(grained(colour), 1.0);
}
