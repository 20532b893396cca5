#version 330
// A face on the template's own shape: metres, x forward, y to the left, z up, soles at 0.
#include "noise.glsl"
in vec3 at;
in vec2 texel;
in float eyeness;
uniform sampler2D lips;
uniform sampler2D eyelids;
uniform sampler2D ears;
uniform sampler2D fingernails;
uniform vec3 skin;
uniform vec3 iris;
uniform vec3 brow;
uniform float brow_width;
uniform float beard;
uniform float flush;
uniform float freckles;
uniform float age;
uniform float lip;
uniform vec3 eye_centre;
uniform float person;
out vec4 result;

vec3 eyeball(vec3 where) {
    vec3 toward = normalize(where - eye_centre * vec3(1.0, sign(where.y), 1.0));
    float angle = acos(clamp(toward.x, -1.0, 1.0));
    vec3 white = vec3(0.55, 0.52, 0.49) * (1.0 - 0.25 * smoothstep(0.7, 1.1, angle));
    vec3 ring = mix(iris * 1.3, iris * 0.25, smoothstep(0.34, 0.47, angle));
    vec3 colour = mix(ring, white, smoothstep(0.46, 0.52, angle));
    return mix(vec3(0.004), colour, smoothstep(0.16, 0.2, angle));
}

float blob(vec3 where, vec3 centre, float size) {
    vec3 apart = (where - centre) / size;
    return exp(-dot(apart, apart));
}

float brow_mask(vec3 where) {
    float side = abs(where.y);
    float along = (side - 0.012) / 0.040;
    float line = 1.5655 + 0.0075 * sin(clamp(along, 0.0, 1.2) * 2.2) - 0.004 * along;
    float thick = 0.0046 * brow_width * (1.0 - 0.55 * clamp(along, 0.0, 1.0));
    float inside = smoothstep(thick * 1.4, thick * 0.5, abs(where.z - line));
    inside *= smoothstep(-0.08, 0.05, along) * smoothstep(1.08, 0.85, along) * step(0.09, where.x);
    return inside * (0.55 + 0.45 * noise2(vec2(side * 1400.0 + where.z * 900.0, where.z * 300.0)));
}

float beard_mask(vec3 where) {
    if (where.z > 1.56 || where.z < 1.40 || where.x < 0.02) return 0.0;
    float side = abs(where.y);
    float cheek = 1.472 + 0.062 * smoothstep(0.045, 0.072, side);
    float below = smoothstep(cheek + 0.008, cheek - 0.006, where.z);
    float lip_band = smoothstep(1.503, 1.498, where.z) * smoothstep(0.034, 0.026, side) * step(0.13, where.x);
    float neck = smoothstep(1.405, 1.425, where.z);
    float front = smoothstep(0.028, 0.045, where.x);
    return max(below, lip_band) * neck * front;
}

void main() {
    if (eyeness > 0.5) {
        result = vec4(sqrt(eyeball(at)), 1.0);
        return;
    }
    float slow = fbm2(texel * 14.0 + person, 4), fast = noise2(texel * 420.0 + person);
    vec3 colour = skin * (0.86 + 0.22 * slow + 0.10 * (fast - 0.5));
    vec3 mirror = vec3(at.x, abs(at.y), at.z);
    float red = 0.8 * blob(mirror, vec3(0.125, 0.042, 1.508), 0.022) + blob(mirror, vec3(0.160, 0.0, 1.510), 0.015);
    red += 0.7 * texture(ears, texel).r + 0.35 * smoothstep(0.415, 0.46, abs(at.y));
    colour *= mix(vec3(1.0), vec3(1.10, 0.84, 0.82), clamp(red * flush, 0.0, 1.0));
    float hollow = blob(mirror, vec3(0.127, 0.031, 1.529), 0.011);
    colour *= 1.0 - (0.12 + 0.18 * age) * hollow;
    float spots = smoothstep(0.66, 0.78, noise2(texel * 260.0 + person * 3.0)) * step(1.0, at.z);
    colour *= mix(vec3(1.0), vec3(0.72, 0.60, 0.52), spots * freckles);
    float lines = smoothstep(0.16, 0.0, abs(fract(at.z * 115.0 + 0.6 * sin(at.y * 45.0)) - 0.5)) * smoothstep(1.575, 1.59, at.z) * step(0.09, at.x);
    lines += blob(mirror, vec3(0.128, 0.034, 1.488), 0.004) + 0.8 * blob(mirror, vec3(0.135, 0.028, 1.497), 0.004);
    colour *= 1.0 - 0.28 * age * clamp(lines, 0.0, 1.0);
    float mouth = texture(lips, texel).r;
    colour = mix(colour, colour * mix(vec3(0.92, 0.78, 0.76), vec3(0.85, 0.42, 0.42), lip), mouth);
    float seam = smoothstep(0.0016, 0.0, abs(at.z - 1.4815)) * mouth;
    colour *= 1.0 - 0.65 * seam;
    float hair = beard_mask(at) * (1.0 - mouth) * beard;
    float bristle = 0.6 + 0.7 * noise2(texel * 700.0);
    colour = mix(colour, brow * 1.2, clamp(hair * bristle, 0.0, 0.92));
    float lash = texture(eyelids, texel).r;
    vec3 from_eye = mirror - eye_centre;
    float rim = lash * smoothstep(0.0075, 0.0035, abs(from_eye.z - 0.001)) ;
    colour = mix(colour, colour * 0.85, lash);
    colour = mix(colour, brow * 0.5, rim * 0.55);
    colour = mix(colour, brow, clamp(brow_mask(at) * 0.9, 0.0, 1.0));
    colour = mix(colour, min(colour * 1.25 + 0.03, 0.9), texture(fingernails, texel).r * 0.8);
    float gloss = 0.42 + 0.25 * blob(mirror, vec3(0.14, 0.0, 1.58), 0.03) + 0.2 * mouth;
    result = vec4(sqrt(colour), gloss);
}
