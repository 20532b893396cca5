float hash(vec3 cell) {
    cell = fract(cell * vec3(0.1031, 0.1030, 0.0973));
    cell += dot(cell, cell.yxz + 33.33);
    return fract((cell.x + cell.y) * cell.z);
}

float hash2(vec2 cell) { return hash(vec3(cell, 7.0)); }

float noise2(vec2 at) {
    vec2 cell = floor(at), part = fract(at);
    part = part * part * (3.0 - 2.0 * part);
    return mix(mix(hash2(cell), hash2(cell + vec2(1, 0)), part.x),
               mix(hash2(cell + vec2(0, 1)), hash2(cell + vec2(1, 1)), part.x), part.y);
}

float noise3(vec3 at) {
    vec3 cell = floor(at), part = fract(at);
    part = part * part * (3.0 - 2.0 * part);
    vec2 low = vec2(mix(hash(cell), hash(cell + vec3(1, 0, 0)), part.x),
                    mix(hash(cell + vec3(0, 1, 0)), hash(cell + vec3(1, 1, 0)), part.x));
    vec2 high = vec2(mix(hash(cell + vec3(0, 0, 1)), hash(cell + vec3(1, 0, 1)), part.x),
                     mix(hash(cell + vec3(0, 1, 1)), hash(cell + vec3(1, 1, 1)), part.x));
    return mix(mix(low.x, low.y, part.y), mix(high.x, high.y, part.y), part.z);
}

float fbm2(vec2 at, int octaves) {
    float sum = 0.0, strength = 0.5;
    for (int octave = 0; octave < octaves; octave++) {
        sum += strength * noise2(at);
        at = mat2(1.6, 1.2, -1.2, 1.6) * at + 17.3;
        strength *= 0.5;
    }
    return sum;
}
