#version 330
in vec2 uv;
in vec3 place;
in float eye;
out vec3 at;
out vec2 texel;
out float eyeness;

void main() {
    at = place;
    texel = uv;
    eyeness = eye;
    gl_Position = vec4(uv * 2.0 - 1.0, 0.0, 1.0);
}
