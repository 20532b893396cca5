#version 330
#include "light.glsl"
in vec3 at;
in vec3 facing;
in vec3 rest_at;
in vec2 covering;
uniform vec3 base_colour;
uniform vec3 sole_colour;
uniform vec3 trim_colour;
out vec4 result;

void main() {
    vec3 normal = normalize(facing);
    vec3 colour = base_colour;
    float rough = 0.45, open = covering.x;
    float across = abs(abs(rest_at.y) - 0.5);
    if (rest_at.z < 0.021) {
        colour = sole_colour * (rest_at.z > 0.018 ? 0.6 : 1.0);
        rough = 0.8;
    } else if (normal.z > 0.35 && rest_at.x > 0.035 && rest_at.x < 0.115 && fract(rest_at.x * 75.0) < 0.42) {
        colour = trim_colour;
    } else if (rest_at.x < -0.025 && rest_at.z > 0.03) {
        colour = mix(base_colour, trim_colour, 0.7);
    }
    if (!gl_FrontFacing) {
        normal = -normal;
        open *= 0.2;
        colour *= 0.4;
    }
    vec3 toward_eye = normalize(eye - at);
    float sun = sunlit(at);
    vec3 light = ambient(normal, open) + sun_colour * sun * max(0.0, dot(normal, sun_direction));
    result = vec4(colour * light + sun * sheen(normal, toward_eye, rough, 0.4), 1.0);
}
