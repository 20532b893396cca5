#version 330
// A posed vertex as the picture's rows see it: each row a little later than the one above.
in vec3 world_point;   // when the middle row is exposed
in vec3 early_point;   // when the top row is
in vec3 late_point;    // when the bottom row is
in vec3 world_normal;
in vec3 rest;
in vec2 uv;
in float crinkle;
in vec3 key;              // sky seen, squeeze of cloth around and along
uniform mat4 view_projection;
uniform vec4 height_row;  // of the whole picture's clip space
uniform vec4 depth_row;
uniform float rolling;    // 0 where all rows are exposed at once
out vec3 at;
out vec3 facing;
out vec3 rest_at;
out vec2 texel;
out vec2 covering;
out vec2 squeezed;

vec3 rolled() {
    vec3 slope = 0.5 * (late_point - early_point);
    vec3 curve = 0.5 * (late_point + early_point) - world_point;
    vec3 seen = world_point;
    for (int i = 0; i < 3; i++) {
        vec4 place = vec4(seen, 1.0);
        float row = clamp(-dot(height_row, place) / dot(depth_row, place), -1.3, 1.3);
        seen = world_point + row * slope + row * row * curve;
    }
    return seen;
}

void main() {
    at = rolling > 0.0 ? rolled() : world_point;
    facing = world_normal;
    rest_at = rest;
    texel = uv;
    covering = vec2(key.x, crinkle);
    squeezed = key.yz;
    gl_Position = view_projection * vec4(at, 1.0);
}
