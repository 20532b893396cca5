#version 330
in vec3 world_point;
uniform mat4 view_projection;

void main() { gl_Position = view_projection * vec4(world_point, 1.0); }
