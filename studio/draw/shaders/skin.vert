#version 330
// Moves a vertex by its bones; cloth hangs from where the body carries it.
in vec3 point;
in vec3 normal;
in ivec4 bones_a;
in ivec4 bones_b;
in vec4 weights_a;
in vec4 weights_b;
in float slack;  // metres that cloth may hang
uniform sampler2D bone_rows;
out vec3 world_point;
out vec3 world_normal;

mat3x4 bone(int index) {
    return mat3x4(
        texelFetch(bone_rows, ivec2(0, index), 0),
        texelFetch(bone_rows, ivec2(1, index), 0),
        texelFetch(bone_rows, ivec2(2, index), 0));
}

void main() {
    mat3x4 move = bone(bones_a.x) * weights_a.x;
    if (weights_a.y > 0.0) move += bone(bones_a.y) * weights_a.y + bone(bones_a.z) * weights_a.z;
    if (weights_a.w > 0.0) move += bone(bones_a.w) * weights_a.w + bone(bones_b.x) * weights_b.x;
    if (weights_b.y > 0.0)
        move += bone(bones_b.y) * weights_b.y + bone(bones_b.z) * weights_b.z
              + bone(bones_b.w) * weights_b.w;
    vec3 at = vec4(point, 1.0) * move;
    world_normal = normalize(vec4(normal, 0.0) * move);
    world_point = at + slack * (0.25 * world_normal - vec3(0.0, 0.0, max(0.0, -world_normal.z)));
}
