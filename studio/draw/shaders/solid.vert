#version 330
in vec3 world_point;
in vec3 world_normal;
in float crease;
in vec3 rest;
in vec2 uv;
in float crinkle;
in float open_sky;
uniform mat4 view_projection;
out vec3 at;
out vec3 facing;
out vec3 rest_at;
out vec2 texel;
out vec2 covering;
out float bending;

void main() {
    at = world_point;
    facing = world_normal;
    rest_at = rest;
    texel = uv;
    covering = vec2(open_sky, crinkle);
    bending = crease;
    gl_Position = view_projection * vec4(world_point, 1.0);
}
