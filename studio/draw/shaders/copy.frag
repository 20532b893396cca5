#version 330
uniform sampler2D picture;
in vec2 place;
out vec4 result;

void main() { result = texture(picture, place); }
