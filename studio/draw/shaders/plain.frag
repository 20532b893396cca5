#version 330
#include "light.glsl"
in vec3 at;
in vec3 facing;
in vec3 rest_at;
in vec2 texel;
in vec2 covering;
uniform vec3 base_colour;
uniform float roughness;
uniform float shine;
uniform float share;  // of what is drawn, where many instants are laid over one another
out vec4 result;

void main() {
    vec3 normal = normalize(facing);
    vec3 toward_eye = normalize(eye - at);
    float sun = sunlit(at);
    vec3 light = ambient(normal, covering.x) + sun_colour * sun * max(0.0, dot(normal, sun_direction));
    float grazing = pow(1.0 - max(0.0, dot(normal, toward_eye)), 5.0);
    vec3 mirror = ambient(reflect(-toward_eye, normal), covering.x) * shine * (0.3 + 0.7 * grazing);
    vec3 colour = base_colour * light + mirror + sun * sheen(normal, toward_eye, roughness, shine);
    result = vec4(colour, 1.0) * share;
}
