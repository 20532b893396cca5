#version 330
// A small map of the ground about the feet: how much of the sky the body leaves open.
uniform vec4 blockers[16];  // balls that stand for the body: centre, radius
uniform int blocker_count;
uniform vec2 stance;        // middle of the map
uniform float reach;        // half its side, metres
in vec2 place;
out vec4 result;

void main() {
    vec2 at = stance + (place * 2.0 - 1.0) * reach;
    float seen = 1.0;
    for (int i = 0; i < blocker_count; i++) {
        vec3 to = blockers[i].xyz - vec3(at, 0.0);
        float apart = dot(to, to);
        float radius = blockers[i].w;
        seen *= 1.0 - clamp(max(0.0, to.z) * inversesqrt(apart) * radius * radius / apart, 0.0, 0.8);
    }
    float near = smoothstep(1.0, 0.5, length(place * 2.0 - 1.0));
    result = vec4(mix(1.0, seen, near));
}
