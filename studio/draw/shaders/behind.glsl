// The still picture behind a pixel: square root of half the light, and where shadows may fall.
uniform sampler2D backdrop;
uniform mat3 to_backdrop;  // pixel in -1..1 to the backdrop's own

vec4 looked_up(sampler2D still_picture, vec2 place) {
#ifdef ALIGNED  // the backdrop's pixels are the picture's
    return texelFetch(still_picture, ivec2(gl_FragCoord.xy), 0);
#else
    vec3 still = to_backdrop * vec3(place * 2.0 - 1.0, 1.0);
    return texture(still_picture, still.xy / still.z * 0.5 + 0.5);
#endif
}
