#version 330
// The still picture as the phone stores it, for the parts of the frame where nothing moves.
#include "tone.glsl"
uniform sampler2D backdrop;
in vec2 place;
out vec4 result;

void main() { result = vec4(tone(texture(backdrop, place).rgb), 1.0); }
