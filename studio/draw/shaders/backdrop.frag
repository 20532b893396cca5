#version 330
// The still part of the picture, looked at along each pixel's ray: sky and ground, or a hall.
#include "noise.glsl"
#include "outdoors.glsl"
in vec2 place;
uniform mat3 to_world;
uniform vec3 eye;
uniform vec3 sun_direction;
uniform vec3 sun_colour;
uniform vec3 sky_colour;
uniform vec3 ground_colour;
uniform sampler2DShadow shadow_map;
uniform mat4 sun_matrix;
uniform float shadow_step;
uniform vec4 mats[3];        // middle and half sizes, metres; zero size none
uniform vec4 mat_colour[3];
uniform int hall;
uniform vec3 room_low;
uniform vec3 room_high;
uniform vec3 wall_colour;
uniform sampler2D screen;
uniform mat4 clip;
out vec4 result;

float sunlit(vec3 at) {
    vec3 where = (sun_matrix * vec4(at, 1.0)).xyz * 0.5 + 0.5;
    if (any(greaterThan(abs(where.xy - 0.5), vec2(0.5)))) return 1.0;
    float lit = 0.0;
    for (int i = 0; i < 9; i++)
        lit += texture(shadow_map, where + vec3(vec2(i % 3 - 1, i / 3 - 1) * shadow_step, -0.001));
    return lit / 9.0;
}

vec3 ground(vec2 at, vec3 ray, float far) {
    vec3 colour = surface == 2 ? tarmac(at, far) : surface == 3 ? turf(at, grass, far) : lawn(at, ray, far);
    for (int i = 0; i < 3; i++) {
        vec2 inside = mats[i].zw - abs(at - mats[i].xy);
        float edge = min(inside.x, inside.y);
        if (mats[i].z > 0.0 && edge > 0.0)
            colour = edge < 0.022 ? vec3(0.025) : turf(at * 1.3, mat_colour[i].rgb, far);
        else if (mats[i].z > 0.0) colour *= 1.0 - 0.45 * exp(edge * 28.0);
    }
    return colour;
}

vec3 wall(vec3 at, vec3 normal) {
    vec3 colour = wall_colour;
    float along = abs(normal.x) > 0.5 ? at.y : at.x;
    if (abs(normal.z) < 0.5) {
        float panel = smoothstep(0.012, 0.0, abs(fract(along / 1.22) - 0.5) * 1.22);
        colour *= 1.0 - 0.35 * panel;
        if (at.z < 0.10) colour *= 0.45;
        colour *= 0.55 + 0.45 * smoothstep(0.0, 2.6, at.z);
        colour *= 0.93 + 0.12 * fbm2(vec2(along, at.z) * 1.3, 4);
    } else {
        vec2 tile = abs(fract(at.xy / vec2(1.8, 2.4)) - 0.5);
        if (tile.x < 0.16 && tile.y < 0.38) return vec3(2.6, 2.55, 2.4);
        colour *= 0.6;
    }
    return colour * (sky_colour + 0.25 * sun_colour);
}

vec4 in_hall(vec3 ray) {
    vec3 reach = mix(room_low - eye, room_high - eye, step(0.0, ray)) / ray;
    float far = min(reach.x, min(reach.y, reach.z));
    vec3 at = eye + ray * far;
    if (far == reach.z && ray.z < 0.0) {
        float lit = sky_colour.g + sun_colour.g * sun_direction.z * sunlit(at);
        vec2 inner = min(at.xy - room_low.xy, room_high.xy - at.xy);
        float corner = 1.0 - 0.5 * exp(-4.0 * min(inner.x, inner.y));
        return vec4(ground(at.xy, ray, far) * lit * corner, 1.0);
    }
    if (far == reach.y && ray.y > 0.0 && abs(at.x - 0.3) < 2.0 && at.z > 0.25 && at.z < 2.75) {
        vec3 shown = texture(screen, vec2((at.x - 0.3) / 4.0 + 0.5, (at.z - 0.25) / 2.5)).rgb;
        return vec4(shown * 0.9 + 0.02, 0.0);
    }
    vec3 normal = far == reach.x ? vec3(1, 0, 0) : far == reach.y ? vec3(0, 1, 0) : vec3(0, 0, 1);
    return vec4(wall(at, normal), 0.0);
}

void main() {
    vec3 ray = normalize(to_world * vec3(place * 2.0 - 1.0, 1.0));
    if (hall == 1) {
        result = in_hall(ray);
        gl_FragDepth = 1.0;
        return;
    }
    if (ray.z > -0.0012) {
        result = vec4(sky(ray, sun_direction, sun_colour), 0.0);
        gl_FragDepth = 1.0;
        return;
    }
    float far = -eye.z / ray.z;
    vec3 at = eye + ray * far;
    vec3 light = sun_colour * sun_direction.z * sunlit(at) + sky_colour;
    vec3 colour = ground(at.xy, ray, far) * light;
    result = vec4(mix(colour, horizon * 0.9, 1.0 - exp(-far / 420.0)), far < 40.0 ? 1.0 : 0.0);
    vec4 deep = clip * vec4(at, 1.0);
    gl_FragDepth = clamp(deep.z / deep.w * 0.5 + 0.5 + 1e-5, 0.0, 1.0);
}
