#version 330
// Bends the finished picture as a lens does.
uniform sampler2D straight;
uniform vec2 size;
uniform float distortion;
uniform float focal;  // of half a width
in vec2 place;
out vec4 result;

void main() {
    vec2 shape = vec2(1.0, size.y / size.x);
    vec2 seen = (place * 2.0 - 1.0) * shape / focal;
    vec2 flat_at = seen;
    for (int i = 0; i < 5; i++) flat_at = seen / (1.0 + distortion * dot(flat_at, flat_at));
    result = texture(straight, flat_at * focal / shape * 0.5 + 0.5);
}
