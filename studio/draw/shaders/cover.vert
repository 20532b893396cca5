#version 330
// Share of the sky that a vertex sees, from depth maps of several directions side by side.
in vec3 world_point;
in vec3 world_normal;
uniform sampler2DShadow maps;
uniform mat4 matrices[12];
uniform vec3 directions[12];
uniform vec2 tiles;  // across, up
out float seen;

void main() {
    float open = 0.0, whole = 0.0;
    vec3 from = world_point + world_normal * 0.012;
    for (int i = 0; i < 12; i++) {
        float weight = 0.25 + max(0.0, dot(world_normal, directions[i]));
        vec3 place = (matrices[i] * vec4(from, 1.0)).xyz * 0.5 + 0.5;
        vec2 corner = vec2(i % int(tiles.x), i / int(tiles.x));
        vec3 where = vec3((corner + clamp(place.xy, 0.004, 0.996)) / tiles, place.z - 0.002);
        open += weight * texture(maps, where);
        whole += weight;
    }
    seen = open / whole;
}
