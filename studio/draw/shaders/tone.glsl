uniform float exposure;
uniform vec3 balance;

// Light to what a phone stores: a soft shoulder, then the display's own curve.
vec3 tone(vec3 light) {
    light = max(light, 0.0) * exposure * balance;
    light = light * (light * 2.51 + 0.03) / (light * (light * 2.43 + 0.59) + 0.14);
    return pow(clamp(light, 0.0, 1.0), vec3(1.0 / 2.2));
}
