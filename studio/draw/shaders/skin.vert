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
out float crease;

mat3x4 bone(int index) {
    return mat3x4(
        texelFetch(bone_rows, ivec2(0, index), 0),
        texelFetch(bone_rows, ivec2(1, index), 0),
        texelFetch(bone_rows, ivec2(2, index), 0));
}

// How far two bones are turned against each other, 0 to 1.
float turned(mat3x4 one, mat3x4 other) {
    float trace = dot(one[0].xyz, other[0].xyz) + dot(one[1].xyz, other[1].xyz)
                + dot(one[2].xyz, other[2].xyz);
    return clamp((3.0 - trace) * 0.5, 0.0, 1.0);
}

void main() {
    mat3x4 first = bone(bones_a.x);
    mat3x4 move = first * weights_a.x;
    crease = 0.0;
    if (weights_a.y > 0.0) {
        mat3x4 second = bone(bones_a.y);
        crease = turned(first, second) * min(1.0, 4.0 * weights_a.x * weights_a.y);
        move += second * weights_a.y + bone(bones_a.z) * weights_a.z;
    }
    if (weights_a.w > 0.0) move += bone(bones_a.w) * weights_a.w + bone(bones_b.x) * weights_b.x;
    if (weights_b.y > 0.0)
        move += bone(bones_b.y) * weights_b.y + bone(bones_b.z) * weights_b.z
              + bone(bones_b.w) * weights_b.w;
    vec3 at = vec4(point, 1.0) * move;
    world_normal = normalize(vec4(normal, 0.0) * move);
    world_point = at + slack * (0.25 * world_normal - vec3(0.0, 0.0, max(0.0, -world_normal.z)));
}
