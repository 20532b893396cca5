#version 330
in vec3 place;
in vec2 uv;
uniform mat4 view_projection;
out vec2 texel;
out float far;

void main() {
    texel = uv;
    gl_Position = view_projection * vec4(place, 1.0);
    far = gl_Position.w;
}
