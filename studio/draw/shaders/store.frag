#version 330
// Light as it is kept in 8 bits: the square root of half of it.
uniform sampler2D picture;
in vec2 place;
out vec4 result;

void main() {
    vec4 seen = texture(picture, place);
    result = vec4(sqrt(clamp(seen.rgb * 0.5, 0.0, 1.0)), seen.a);
}
