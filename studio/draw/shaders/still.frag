#version 330
// Turns the finished still picture with the hand's shake.
#include "sharpen.glsl"
uniform sampler2D toned;
uniform mat3 to_backdrop;  // pixel in -1..1 to the backdrop's own
in vec2 place;
out vec4 result;

void main() {
    vec3 still = to_backdrop * vec3(place * 2.0 - 1.0, 1.0);
    result = vec4(grained(texture(toned, still.xy / still.z * 0.5 + 0.5).rgb), 1.0);
}
