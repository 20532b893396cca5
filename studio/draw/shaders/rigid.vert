#version 330
// A vertex of something stiff, as the picture's rows see it: each row a little later than the one
// above. The three frames are rest to world when the middle, the top and the bottom row is exposed.
in vec3 rest;
in vec3 normal;
in vec2 uv;
uniform mat4 frames[3];
uniform mat4 view_projection;
uniform vec4 height_row;  // of the whole picture's clip space
uniform vec4 depth_row;
uniform float rolling;    // 0 where all rows are exposed at once
out vec3 at;
out vec3 facing;
out vec3 rest_at;
out vec2 texel;
out vec2 covering;

void main() {
    vec4 point = vec4(rest, 1.0);
    vec3 middle = (frames[0] * point).xyz;
    at = middle;
    if (rolling > 0.0) {
        vec3 early = (frames[1] * point).xyz, late = (frames[2] * point).xyz;
        vec3 slope = 0.5 * (late - early), curve = 0.5 * (late + early) - middle;
        for (int i = 0; i < 4; i++) {
            float row = -dot(height_row, vec4(at, 1.0)) / dot(depth_row, vec4(at, 1.0));
            row = clamp(row, -1.3, 1.3);
            at = middle + row * slope + row * row * curve;
        }
    }
    facing = mat3(frames[0]) * normal;
    rest_at = rest;
    texel = uv;
    covering = vec2(1.0, 0.0);
    gl_Position = view_projection * vec4(at, 1.0);
}
