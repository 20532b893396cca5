#version 330
in vec2 texel;
in float far;
uniform sampler2D picture;  // square root of lit colour, cover
uniform vec3 sun_colour;
uniform vec3 sky_colour;
uniform vec3 horizon;
uniform vec3 tint;
out vec4 result;

void main() {
    vec4 seen = texture(picture, texel);
    if (seen.a < 0.4) discard;
    vec3 colour = seen.rgb * seen.rgb / (seen.a * seen.a) * tint * (sun_colour * 0.85 + sky_colour);
    result = vec4(mix(colour, horizon * 0.9, 1.0 - exp(-far / 420.0)), 0.0);
}
