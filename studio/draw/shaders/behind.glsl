// The still picture behind a pixel: square root of half the light, and where shadows may fall.
uniform sampler2D backdrop;
uniform mat3 to_backdrop;  // pixel in -1..1 to the backdrop's own
uniform int aligned;       // 1 where the backdrop's pixels are the picture's

vec4 behind(vec2 place) {
    vec4 stored;
    if (aligned == 1) stored = texelFetch(backdrop, ivec2(gl_FragCoord.xy), 0);
    else {
        vec3 still = to_backdrop * vec3(place * 2.0 - 1.0, 1.0);
        stored = texture(backdrop, still.xy / still.z * 0.5 + 0.5);
    }
    return vec4(2.0 * stored.rgb * stored.rgb, stored.a);
}
