#version 330
// The still picture under the figures' shadow and the figures.
#include "tone.glsl"
#include "behind.glsl"
uniform sampler2D figures;
uniform mat3 to_world;
uniform vec3 eye;
uniform vec3 sun_direction;
uniform vec3 sun_colour;
uniform vec3 sky_colour;
uniform sampler2DShadow shadow_map;
uniform mat4 sun_matrix;
uniform float shadow_step;
uniform float soft;         // width of the shadow's edge, in the map's pixels
uniform sampler2D ground_shade;
uniform vec2 stance;
uniform float reach;
in vec2 place;
out vec4 result;

float shadow(vec2 at) {
    vec3 where = (sun_matrix * vec4(at, 0.0, 1.0)).xyz * 0.5 + 0.5;
    where.z -= 0.001;
    float step = shadow_step * soft;
    float lit = texture(shadow_map, where + vec3(-0.9, -0.4, 0.0) * step);
    lit += texture(shadow_map, where + vec3(0.4, -0.9, 0.0) * step);
    lit += texture(shadow_map, where + vec3(0.9, 0.4, 0.0) * step);
    lit += texture(shadow_map, where + vec3(-0.4, 0.9, 0.0) * step);
    return lit * 0.25;
}

float sky_seen(vec2 at) {
    vec2 on = (at - stance) / reach;
    if (max(abs(on.x), abs(on.y)) > 0.98) return 1.0;
    return texture(ground_shade, on * 0.5 + 0.5).r;
}

void main() {
    vec4 far = looked_up(backdrop, place);
    vec4 front = texelFetch(figures, ivec2(gl_FragCoord.xy), 0);
    vec3 ray = to_world * vec3(place * 2.0 - 1.0, 1.0);
    vec2 at = eye.xy - ray.xy * eye.z / min(ray.z, -1e-4);
    float sun = sun_colour.g * sun_direction.z;
    float lit = (sun * shadow(at) + sky_colour.g * sky_seen(at)) / (sun + sky_colour.g);
    vec3 colour = 2.0 * far.rgb * far.rgb * mix(1.0, lit, far.a);
    result = vec4(tone(front.rgb + colour * (1.0 - front.a)), 1.0);
}
