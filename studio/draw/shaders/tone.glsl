uniform float exposure;
uniform vec3 balance;

// The display's curve by square roots: within 0.002 of 1.055 x^(1/2.4) - 0.055 (found by fitting).
vec3 encoded(vec3 light) {
    vec3 a = sqrt(light), b = sqrt(a), c = sqrt(b);
    return 0.662002687 * a + 0.684122060 * b - 0.323583601 * c - 0.0225411470 * light;
}

// Light to what a phone stores: a soft shoulder, then the display's own curve.
vec3 tone(vec3 light) {
    light = max(light, 0.0) * exposure * balance;
    light = light * (light * 2.51 + 0.03) / (light * (light * 2.43 + 0.59) + 0.14);
    return encoded(clamp(light, 0.0, 1.0));
}
