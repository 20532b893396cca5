// Sky, far hills and grass, along a ray. Needs noise.glsl.
uniform vec3 zenith;
uniform vec3 horizon;
uniform float cloud;        // share of the sky
uniform float cloud_seed;
uniform float hills;        // height of far hills, 0 none
uniform vec3 grass;
uniform int surface;        // 0 fairway, 1 rough, 2 tarmac, 3 turf of a hall
uniform float blade;        // height of the grass, metres
uniform float stripes;      // width of mown stripes, 0 none
uniform float worn;
uniform vec4 bunkers[4];    // far sand: middle and half sizes

vec3 sky(vec3 ray, vec3 sun_direction, vec3 sun_colour) {
    float up = max(0.0, ray.z);
    vec3 colour = mix(horizon, zenith, pow(up, 0.45));
    float near_sun = max(0.0, dot(ray, sun_direction));
    colour += sun_colour * (0.10 * pow(near_sun, 24.0) + 0.04 * pow(near_sun, 5.0));
    vec2 over = ray.xy / (ray.z + 0.10) * 1.15 + cloud_seed;
    float puff = fbm2(over, 6);
    float cover = smoothstep(1.0 - cloud, 1.22 - cloud, puff * 1.25);
    float thick = smoothstep(0.9 - cloud, 1.6 - cloud, puff * 1.25 + 0.3 * fbm2(over + sun_direction.xy * 0.2, 3));
    vec3 white = mix(vec3(1.0), 0.62 * (horizon + zenith * 0.3), thick) * (0.55 + 0.3 * sun_colour.g);
    colour = mix(colour, white, cover * smoothstep(0.01, 0.16, up));
    float slope = ray.z / length(ray.xy);
    if (slope < hills * 1.3) {
        float heading = atan(ray.y, ray.x);
        for (int i = 2; i >= 0; i--) {
            float layer = float(i);
            float crest = hills * (0.30 + 0.35 * layer) * (0.25 + fbm2(vec2(heading * (5.0 - layer) + layer * 7.0 + cloud_seed, layer), 6));
            float woods = 0.010 * noise2(vec2(heading * 480.0, 2.0)) * (1.0 - 0.4 * layer);
            if (slope < crest + woods) {
                vec3 wood = grass * (0.35 + 0.5 * fbm2(vec2(heading * 60.0, slope * 220.0), 3)) * (sun_colour * 0.4 + zenith * 0.5);
                colour = mix(wood, horizon * 0.92, 0.45 + 0.22 * layer);
            }
        }
    }
    return colour;
}

// Grass as a stack of thin shells, so that blades stand up against one another.
vec3 lawn(vec2 at, vec3 ray, float far) {
    float cell = 0.0060 * max(1.0, far * 0.24), shown = 0.0, tone = 0.5;
    vec2 lean = ray.xy / max(0.08, -ray.z);
    if (far < 30.0) {
        vec2 sway = 0.7 * (vec2(noise2(at * 9.0), noise2(at * 9.0 + 50.0)) - 0.5);
        const mat2 turned = mat2(0.8, 0.6, -0.6, 0.8);
        for (int i = 0; i < 9; i++) {
            float h = blade * (1.0 - float(i) / 9.0);
            vec2 id = floor(turned * (at - (lean - sway) * h) / (cell * vec2(0.8, 1.5)));
            float tall = blade * (0.35 + 0.65 * hash2(id));
            if (tall > h) {
                shown = h / blade;
                tone = hash2(id + 91.0);
                break;
            }
        }
    } else shown = 0.55;
    shown = mix(shown, 0.55, smoothstep(12.0, 30.0, far));
    float patches = 0.6 * fbm2(at * 0.55, 3) + 0.4 * fbm2(at * 0.09 + 3.0, 3);
    vec3 colour = grass * (0.35 + 1.15 * shown) * (0.70 + 0.62 * patches);
    colour *= mix(vec3(1.0), vec3(1.30, 1.08, 0.62), 0.45 * tone * smoothstep(30.0, 5.0, far));
    colour = mix(colour, colour * vec3(1.45, 1.15, 0.75), smoothstep(0.50, 0.75, fbm2(at * 1.1 + 9.0, 3)) * 0.5);
    if (stripes > 0.0) colour *= 1.0 + 0.10 * sign(sin(3.14159 * at.x / stripes)) * smoothstep(0.3, 1.0, far * 0.2);
    float off_line = abs(at.x + 5.0 * sin(at.y * 0.03)) - 13.0;
    if (surface == 0) colour *= mix(vec3(1.0), vec3(0.62, 0.66, 0.60), smoothstep(-0.3, 0.3, off_line));
    for (int i = 0; i < 4; i++) {
        if (bunkers[i].z <= 0.0) continue;
        vec2 apart = (at - bunkers[i].xy) / bunkers[i].zw;
        float edge = length(apart) + 0.3 * (noise2(at * 0.35) - 0.5);
        colour = mix(colour, vec3(0.62, 0.54, 0.38) * (0.85 + 0.3 * noise2(at * 3.0)), smoothstep(1.0, 0.94, edge));
    }
    float bare = smoothstep(0.98 - worn, 1.14 - worn, fbm2(at * 2.6 + 21.0, 4) + 0.3 * exp(-dot(at - vec2(0.6, 0.0), at - vec2(0.6, 0.0))));
    vec3 soil = vec3(0.115, 0.075, 0.04) * (0.6 + 0.8 * noise2(at * 130.0));
    return mix(colour, soil, bare * (0.55 + 0.4 * noise2(at * 60.0)));
}

vec3 tarmac(vec2 at, float far) {
    float grit = mix(noise2(at * 260.0), 0.5, smoothstep(4.0, 14.0, far));
    float stain = fbm2(at * 0.9 + 4.0, 5);
    float joint = smoothstep(0.012, 0.0, abs(fract(at.y / 2.4) - 0.5) * 2.4) * 0.4;
    return vec3(0.23, 0.225, 0.215) * (0.75 + 0.3 * grit) * (0.75 + 0.45 * stain) * (1.0 - joint);
}

vec3 turf(vec2 at, vec3 tint, float far) {
    float fibre = mix(noise2(at * vec2(420.0, 300.0)), 0.5, smoothstep(2.5, 9.0, far));
    float wear = fbm2(at * 2.2 + 7.0, 4);
    return tint * (0.62 + 0.55 * fibre) * (0.8 + 0.35 * wear);
}
