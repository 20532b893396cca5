#version 330
// Woven cloth: pattern on the rest shape, folds that deepen where the body squeezes it.
// What a garment has not is left out by words: a branch not taken costs as much as one taken.
#include "light.glsl"
in vec3 at;
in vec3 facing;
in vec3 rest_at;
in vec2 texel;     // 0 on the trunk, 1 on sleeves, a half at the seam; metres along
in vec2 covering;  // sky seen, fold
in vec2 squeezed;  // around, along
uniform vec3 base_colour;
uniform vec3 second_colour;
uniform int pattern;
uniform float repeat;
uniform float crumple;
uniform float gloss;
uniform float placket;
uniform float weave;
uniform float waist;   // height of a waistband's upper edge at rest, 0 none
uniform float cuff;    // metres along from which a sleeve has its own colour, 0 none
uniform sampler2D folds;  // drape, crush, crumple
out vec4 result;

vec2 place_on_cloth() {
    vec3 plane = cross(dFdx(rest_at), dFdy(rest_at));
    float side = abs(plane.y) / (abs(plane.x) + abs(plane.y) + 1e-12);
    float across = texel.x > 0.5 ? rest_at.x + 0.4 * rest_at.z : (side > 0.5 ? rest_at.x + 0.31 : rest_at.y);
    return vec2(across, texel.y);
}

// Metres of relief: folds as it hangs and where it is squeezed, small crumples, the armhole's seam.
float height(vec3 large, vec3 small) {
    float round = min(1.0, 0.55 * covering.y + 2.2 * squeezed.x);
    float across = min(1.0, 0.15 * covering.y + 2.6 * squeezed.y);
    float hang = round * (0.016 * large.r + 0.005 * small.r);
    float crush = across * (0.015 * large.g + 0.007 * small.g);
    float seam = 0.0022 * smoothstep(0.30, 0.48, min(texel.x, 1.0 - texel.x));
    return crumple * (hang + crush + 0.0010 * large.b) - seam;
}

vec3 bumped(vec3 normal, float h) {
    vec3 px = dFdx(at), py = dFdy(at);
    vec3 a = cross(py, normal), b = cross(normal, px);
    float area = dot(px, a);
    vec3 slope = sign(area) * (dFdx(h) * a + dFdy(h) * b);
    return normalize(max(abs(area), 1e-12) * normal - clamp(slope, -2.0 * abs(area), 2.0 * abs(area)));
}

#ifdef PATTERNED
vec3 dyed(vec2 on) {
    float lying = fract(on.y / repeat), upright = fract(on.x / repeat);
    if (pattern == 1) return mix(base_colour, second_colour, step(lying, 0.42));
    if (pattern == 2) return mix(base_colour, second_colour, step(upright, 0.25));
    if (pattern == 3) {
        float both = 0.5 * step(lying, 0.4) + 0.5 * step(upright, 0.4);
        return mix(base_colour, second_colour, both * 0.8);
    }
    if (pattern == 4) return mix(base_colour, second_colour, step(0.62, texture(folds, on * 9.0).b));
    if (pattern == 5) return texel.x < 0.5 && on.y < repeat * 10.0 ? second_colour : base_colour;
    return base_colour;
}
#else
vec3 dyed(vec2 on) { return base_colour; }
#endif

// Waistband, fly and back pockets, as dark lines: front and back can be told apart.
float stitched() {
    float below = waist - rest_at.z, side = abs(rest_at.y);
    float band = smoothstep(0.0022, 0.0, abs(below - 0.036));
    if (rest_at.x > 0.02) {
        float fly = smoothstep(0.002, 0.0, abs(rest_at.y - 0.012)) * step(below, 0.17) * step(0.036, below);
        float slant = side - 0.085 - 0.30 * (below - 0.036);
        return max(band, max(fly, smoothstep(0.0022, 0.0, abs(slant)) * step(below, 0.15) * step(0.036, below)));
    }
    vec2 out_of = abs(vec2(side - 0.078, below - 0.125)) - vec2(0.036, 0.045);
    float pocket = smoothstep(0.0022, 0.0, abs(max(out_of.x, out_of.y)));
    return max(band, pocket * step(rest_at.x, -0.02));
}

void main() {
    vec2 on = place_on_cloth();
    vec3 colour = dyed(on);
#ifdef CUFFED
    if (texel.x > 0.5 && on.y < cuff) colour = second_colour;
#endif
    vec3 large = texture(folds, on * vec2(1.5, 0.9) + 0.37).rgb;
    vec3 small = texture(folds, on * vec2(3.3, 2.1)).rgb;
    colour *= 1.0 + weave * 0.16 * (small.b - 0.5);
    float h = height(large, small);
    vec3 normal = bumped(normalize(facing), h);
    float open = covering.x;
#ifdef BUTTONS
    if (rest_at.x > 0.0 && texel.x < 0.5) {
        float from_middle = abs(rest_at.y);
        float edge = smoothstep(0.0016, 0.0, abs(from_middle - 0.016)) * step(placket, rest_at.z);
        colour *= 1.0 - 0.35 * edge;
        vec2 button = vec2(rest_at.y, mod(rest_at.z - placket, 0.075) - 0.03);
        if (dot(button, button) < 2.2e-5 && rest_at.z > placket) colour = mix(colour, vec3(0.75), 0.7);
    }
#endif
#ifdef STITCHED
    if (rest_at.z > waist - 0.24) colour *= 1.0 - 0.4 * stitched();
#endif
    if (!gl_FrontFacing) {
        normal = -normal;
        open *= 0.35;
    }
    vec3 toward_eye = normalize(eye - at);
    float sun = gl_FrontFacing ? sunlit(at) : 0.0;
    float valley = clamp(0.70 + 30.0 * h, 0.62, 1.0);
    float facing_sun = dot(normal, sun_direction);
    vec3 through = 0.12 * colour * max(0.0, -facing_sun) * sun;
    vec3 light = ambient(normal, open) * valley + sun_colour * (sun * max(0.0, facing_sun) + through);
    float rim = 1.0 - max(0.0, dot(normal, toward_eye));
    rim *= rim * rim;
    result = vec4(colour * light + rim * gloss * (ambient(normal, open) + 0.3 * sun * sun_colour), 1.0);
}
