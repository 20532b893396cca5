#version 330
#include "light.glsl"
in vec3 at;
in vec3 facing;
in vec2 texel;
in vec2 covering;
uniform sampler2D painted;  // square root of the albedo, gloss
uniform vec3 bleed;         // how far light of each colour creeps round
out vec4 result;

void main() {
    vec3 normal = normalize(facing);
    vec4 paint = texture(painted, texel);
    vec3 colour = paint.rgb * paint.rgb;
    vec3 toward_eye = normalize(eye - at);
    float sun = sunlit(at);
    float cosine = dot(normal, sun_direction);
    vec3 creeping = max(vec3(0.0), (cosine + bleed) / (1.0 + bleed));
    vec3 open = pow(vec3(covering.x), vec3(0.8, 1.05, 1.15));
    vec3 light = ambient(normal, 1.0) * open + sun_colour * creeping * mix(vec3(sun), vec3(sqrt(sun)), 0.25 * bleed * 3.0);
    float rim = pow(1.0 - max(0.0, dot(normal, toward_eye)), 4.0);
    vec3 mirror = ambient(reflect(-toward_eye, normal), covering.x) * (0.025 + 0.25 * rim) * paint.a;
    float rough = paint.a > 0.9 ? 0.12 : 0.52;
    result = vec4(colour * light + mirror + sun * paint.a * 0.8 * sheen(normal, toward_eye, rough, 1.0), 1.0);
}
