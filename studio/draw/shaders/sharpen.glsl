// A phone's sharpening of one pixel against its four neighbours, and the sensor's noise.
uniform float sharpen;
uniform float grain;
uniform sampler2D grains;
uniform ivec2 grain_shift;

vec3 sharpened(vec3 middle, vec3 around) { return middle + sharpen * (middle - around * 0.25); }

vec3 grained(vec3 colour) {
    vec3 rough = texelFetch(grains, (ivec2(gl_FragCoord.xy) + grain_shift) & 511, 0).rgb - 0.5;
    return colour + grain * 6.0 * (1.3 - colour.g) * rough;
}
