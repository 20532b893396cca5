#version 330
// The still picture under the figures' shadow and the figures.
#include "tone.glsl"
uniform sampler2D backdrop;
uniform sampler2D figures;
uniform mat3 to_backdrop;
uniform mat3 to_world;
uniform vec3 eye;
uniform vec3 sun_direction;
uniform vec3 sun_colour;
uniform vec3 sky_colour;
uniform sampler2DShadow shadow_map;
uniform mat4 sun_matrix;
uniform float shadow_step;
uniform float soft;         // width of the shadow's edge, metres
uniform vec4 blockers[16];  // balls that hide the sky: centre, radius
uniform int blocker_count;
uniform vec2 stance;        // between the feet
in vec2 place;
out vec4 result;

float shadow(vec2 at) {
    vec3 where = (sun_matrix * vec4(at, 0.0, 1.0)).xyz * 0.5 + 0.5;
    if (abs(where.x - 0.5) > 0.5 || abs(where.y - 0.5) > 0.5) return 1.0;
    where.z -= 0.001;
    float lit = 0.0;
    float step = shadow_step * soft;
    lit += texture(shadow_map, where + vec3(-0.9, -0.4, 0.0) * step);
    lit += texture(shadow_map, where + vec3(0.4, -0.9, 0.0) * step);
    lit += texture(shadow_map, where + vec3(0.9, 0.4, 0.0) * step);
    lit += texture(shadow_map, where + vec3(-0.4, 0.9, 0.0) * step);
    return lit * 0.25;
}

float sky_seen(vec2 at) {
    float near = smoothstep(1.0, 0.5, length(at - stance));
    if (near <= 0.0) return 1.0;
    float seen = 1.0;
    for (int i = 0; i < blocker_count; i++) {
        vec3 to = blockers[i].xyz - vec3(at, 0.0);
        float apart = dot(to, to);
        float radius = blockers[i].w;
        seen *= 1.0 - clamp(max(0.0, to.z) * inversesqrt(apart) * radius * radius / apart, 0.0, 0.8);
    }
    return mix(1.0, seen, near);
}

void main() {
    vec2 pixel = place * 2.0 - 1.0;
    vec3 still = to_backdrop * vec3(pixel, 1.0);
    vec4 behind = texture(backdrop, still.xy / still.z * 0.5 + 0.5);
    vec4 front = texelFetch(figures, ivec2(gl_FragCoord.xy), 0);
    vec3 colour = behind.rgb;
    if (behind.a > 0.01 && front.a < 0.999) {
        vec3 ray = to_world * vec3(pixel, 1.0);
        vec2 at = eye.xy - ray.xy * eye.z / ray.z;
        float sun = sun_colour.g * sun_direction.z;
        float lit = (sun * shadow(at) + sky_colour.g * sky_seen(at)) / (sun + sky_colour.g);
        colour *= mix(1.0, lit, behind.a);
    }
    result = vec4(tone(front.rgb + colour * (1.0 - front.a)), 1.0);
}
