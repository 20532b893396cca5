#version 330
#include "light.glsl"
#include "noise.glsl"
in vec3 at;
in vec3 facing;
in vec3 rest_at;
in vec2 covering;  // sky seen, 0 at the hairline to 1
uniform vec3 base_colour;
uniform float grey;
out vec4 result;

void main() {
    float around = atan(rest_at.y, rest_at.x) * 0.1;
    float strand = noise2(vec2(around * 900.0 + rest_at.x * 250.0, rest_at.z * 32.0));
    float lock = noise2(vec2(around * 160.0 + rest_at.x * 60.0, rest_at.z * 14.0));
    if (covering.y < 0.45 * strand) discard;
    vec3 normal = normalize(facing);
    if (!gl_FrontFacing) normal = -normal;
    normal = normalize(normal + 0.35 * vec3(strand - 0.5, lock - 0.5, 0.0));
    vec3 colour = base_colour * (0.55 + 0.5 * strand + 0.45 * lock);
    colour = mix(colour, vec3(0.4), grey * step(0.6, strand) * 0.6);
    vec3 toward_eye = normalize(eye - at);
    float sun = sunlit(at);
    vec3 along = normalize(cross(normal, cross(vec3(0.0, 0.0, 1.0), normal)) + 0.01);
    vec3 halfway = normalize(sun_direction + toward_eye);
    float across = dot(along, halfway);
    float glint = pow(max(0.0, sqrt(1.0 - across * across)), 60.0) * 0.10 * (0.4 + strand);
    float diffuse = 0.25 + 0.75 * max(0.0, dot(normal, sun_direction));
    vec3 light = ambient(normal, covering.x) * (0.7 + 0.3 * lock) + sun_colour * sun * diffuse * 0.9;
    result = vec4(colour * light + sun_colour * sun * glint * max(0.0, dot(normal, sun_direction) + 0.2), 1.0);
}
