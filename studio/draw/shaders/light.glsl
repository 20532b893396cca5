uniform vec3 eye;
uniform vec3 sun_direction;
uniform vec3 sun_colour;
uniform vec3 sky_colour;
uniform vec3 ground_colour;
uniform sampler2DShadow shadow_map;
uniform mat4 sun_matrix;
uniform float shadow_step;

float sunlit(vec3 at) {
    vec3 place = (sun_matrix * vec4(at, 1.0)).xyz * 0.5 + 0.5;
    place.z -= 0.0016;
    float lit = texture(shadow_map, place + vec3(-0.9, -0.4, 0.0) * shadow_step);
    return 0.5 * (lit + texture(shadow_map, place + vec3(0.9, 0.4, 0.0) * shadow_step));
}

// Sky above, sunlit ground below, dimmed where the body covers itself.
vec3 ambient(vec3 normal, float open) {
    return mix(ground_colour, sky_colour, 0.5 + 0.5 * normal.z) * open;
}

vec3 sheen(vec3 normal, vec3 toward_eye, float rough, float strength) {
    vec3 halfway = normalize(sun_direction + toward_eye);
    float sharp = 2.0 / (rough * rough * rough * rough + 1e-3);
    float glint = pow(max(0.0, dot(normal, halfway)), sharp) * (sharp + 2.0) * 0.04;
    return sun_colour * glint * strength * max(0.0, dot(normal, sun_direction));
}
