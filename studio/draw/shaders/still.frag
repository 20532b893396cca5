#version 330
// Turns the finished still picture with the hand's shake, and lays the sensor's noise over it.
#include "sharpen.glsl"
#include "behind.glsl"
in vec2 place;
out vec4 result;

void main() { result = vec4(grained(looked_up(backdrop, place).rgb), 1.0); }
