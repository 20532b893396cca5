// One labelled picture of hands, arms and a club, drawn by sphere tracing: one thread a pixel.
// The same text is compiled by NVRTC on a GPU and by a C++ compiler for a look without one.
// Offsets (O_*, N_*, W_*) come from layout.py. World: metres, z up. Pixels: x right, y down.

struct V3 { float x, y, z; };
__device__ inline V3 v3(float x, float y, float z) { V3 r; r.x = x; r.y = y; r.z = z; return r; }
__device__ inline V3 load3(const float* p) { return v3(p[0], p[1], p[2]); }
__device__ inline V3 operator+(V3 a, V3 b) { return v3(a.x + b.x, a.y + b.y, a.z + b.z); }
__device__ inline V3 operator-(V3 a, V3 b) { return v3(a.x - b.x, a.y - b.y, a.z - b.z); }
__device__ inline V3 operator*(V3 a, float k) { return v3(a.x * k, a.y * k, a.z * k); }
__device__ inline V3 mul(V3 a, V3 b) { return v3(a.x * b.x, a.y * b.y, a.z * b.z); }
__device__ inline float dot(V3 a, V3 b) { return a.x * b.x + a.y * b.y + a.z * b.z; }
__device__ inline float len(V3 a) { return sqrtf(dot(a, a)); }
__device__ inline V3 unit(V3 a) { return a * (1.f / fmaxf(len(a), 1e-9f)); }
__device__ inline V3 mix(V3 a, V3 b, float t) { return a * (1.f - t) + b * t; }
__device__ inline float clampf(float x, float a, float b) { return fminf(fmaxf(x, a), b); }
__device__ inline float fract(float x) { return x - floorf(x); }

__device__ inline float hash(int x, int y, int z) {
  unsigned h = (unsigned)x * 374761393u + (unsigned)y * 668265263u + (unsigned)z * 2147483647u;
  h = (h ^ (h >> 13)) * 1274126177u;
  h ^= h >> 16;
  return (float)(h & 0xffffffu) / 16777216.f;
}
__device__ inline float noise(V3 p) {
  float fx = floorf(p.x), fy = floorf(p.y), fz = floorf(p.z);
  int x = (int)fx, y = (int)fy, z = (int)fz;
  float a = p.x - fx, b = p.y - fy, c = p.z - fz, s = 0.f;
  a = a * a * (3.f - 2.f * a); b = b * b * (3.f - 2.f * b); c = c * c * (3.f - 2.f * c);
  for (int k = 0; k < 8; k++) {
    int i = k & 1, j = (k >> 1) & 1, l = k >> 2;
    s += hash(x + i, y + j, z + l) * (i ? a : 1.f - a) * (j ? b : 1.f - b) * (l ? c : 1.f - c);
  }
  return s;
}

__device__ inline V3 texel(const unsigned char* photos, int which, int x, int y) {
  x = ((x % (2 * PHOTO)) + 2 * PHOTO) % (2 * PHOTO); y = ((y % (2 * PHOTO)) + 2 * PHOTO) % (2 * PHOTO);
  if (x >= PHOTO) x = 2 * PHOTO - 1 - x;
  if (y >= PHOTO) y = 2 * PHOTO - 1 - y;
  const unsigned char* p = photos + ((size_t)which * PHOTO * PHOTO + (size_t)y * PHOTO + x) * 3;
  return v3(p[0] / 255.f, p[1] / 255.f, p[2] / 255.f);
}
__device__ inline V3 photo(const unsigned char* photos, int which, float u, float v) {
  float x = u * PHOTO - .5f, y = v * PHOTO - .5f, fx = floorf(x), fy = floorf(y);
  int i = (int)fx, j = (int)fy; float a = x - fx, b = y - fy;
  return mix(mix(texel(photos, which, i, j), texel(photos, which, i + 1, j), a),
             mix(texel(photos, which, i, j + 1), texel(photos, which, i + 1, j + 1), a), b);
}

// Distance to a run of round limbs melted together by `melt`; `near` is the nearest one's row.
__device__ inline float limbs(const float* prims, int from, int to, V3 p, float melt, int* near) {
  float d = 1e9f, best = 1e9f;
  for (int i = from; i < to; i++) {
    const float* q = prims + i * W_PRIM;
    V3 pa = p - load3(q), ba = load3(q + 3);
    float h = clampf(dot(pa, ba) * q[8], 0.f, 1.f);
    V3 off = pa - ba * h;
    float di = len(off) - (q[6] + (q[7] - q[6]) * h);
    if (di < best) { best = di; *near = i; }
    float k = fmaxf(melt - fabsf(d - di), 0.f) / melt;
    d = fminf(d, di) - k * k * melt * .25f;
  }
  return d;
}

// First hit along a ray within a bounding ball, or -1.
__device__ inline float march(const float* prims, int from, int to, V3 o, V3 d, const float* ball,
                              float melt, int steps, int* near) {
  if (from >= to) return -1.f;
  V3 oc = o - load3(ball);
  float b = dot(oc, d), c = dot(oc, oc) - ball[3] * ball[3], disc = b * b - c;
  if (disc < 0.f) return -1.f;
  float s = sqrtf(disc), t = fmaxf(-b - s, .02f), end = -b + s;
  for (int i = 0; i < steps && t < end; i++) {
    float dist = limbs(prims, from, to, o + d * t, melt, near);
    if (dist < .0008f * t) return t;
    t += dist * .95f;
  }
  return -1.f;
}

__device__ inline V3 limb_normal(const float* prims, int from, int to, V3 p, float melt) {
  int n; float e = .002f;
  return unit(v3(
    limbs(prims, from, to, p + v3(e, 0, 0), melt, &n) - limbs(prims, from, to, p - v3(e, 0, 0), melt, &n),
    limbs(prims, from, to, p + v3(0, e, 0), melt, &n) - limbs(prims, from, to, p - v3(0, e, 0), melt, &n),
    limbs(prims, from, to, p + v3(0, 0, e), melt, &n) - limbs(prims, from, to, p - v3(0, 0, e), melt, &n)));
}

// How much of the light a thin club keeps from a point, 0 to 1.
__device__ inline float club_shade(const float* club, V3 p, V3 light) {
  float most = 0.f;
  for (int part = 0; part < 2; part++) {
    V3 a = load3(club + 3 * part), b = load3(club + 3 * part + 3), ab = b - a, ap = p - a;
    float dl = dot(ab, light), q = dot(ab, ab) - dl * dl;
    float s = clampf(q > 1e-6f ? (dot(ab, ap) - dl * dot(ap, light)) / q : 0.f, 0.f, 1.f);
    V3 x = a + ab * s;
    float t = dot(x - p, light);
    if (t < .01f) continue;
    float r = part ? .03f : .007f, soft = .004f + .006f * t;
    most = fmaxf(most, clampf((r + soft - len(x - (p + light * t))) / (2.f * soft), 0.f, 1.f) * fminf(1.f, r / soft));
  }
  return most;
}

__device__ inline V3 cloth(const float* mat, const unsigned char* photos, V3 p) {
  V3 k = load3(mat);
  int which = (int)mat[3];
  if (which >= 0) k = mul(k, photo(photos, which, (p.x + p.y) * mat[4], p.z * mat[4]) * 1.6f);
  int pattern = (int)mat[7];
  float f = mat[8];
  if (pattern == 1 && fract(p.z * f) < .4f) k = mix(k, v3(.95f, .95f, .95f), .8f);
  if (pattern == 2 && (fract((p.x + p.y) * f) < .22f || fract(p.z * f) < .22f)) k = k * .5f;
  if (pattern == 3) k = k * (.5f + noise(p * (2.5f * f)));
  return k * (.85f + .3f * noise(p * 35.f));
}

__device__ inline V3 lit(const float* s, const float* prims, int from, int to, V3 p, V3 eye_dir,
                         int near, const unsigned char* photos) {
  const float* mat = s + O_MATS + (int)prims[near * W_PRIM + 9] * W_MAT;
  V3 light = load3(s + O_LIGHT), n = limb_normal(prims, from, to, p, s[O_MELT]);
  float fold = mat[5];
  V3 g = v3(noise(p * 17.f), noise(p * 17.f + v3(7, 3, 1)), noise(p * 17.f + v3(19, 5, 2))) - v3(.5f, .5f, .5f);
  V3 g2 = v3(noise(p * 6.f), noise(p * 6.f + v3(7, 3, 1)), noise(p * 6.f + v3(19, 5, 2))) - v3(.5f, .5f, .5f);
  n = unit(n + (g + g2) * fold);
  float diffuse = fmaxf(0.f, dot(n, light)), shade = 1.f;
  if (diffuse > 0.f) {
    int m; V3 o = p + n * .02f;
    float t = .02f;
    for (int i = 0; i < 8; i++) {
      float d = limbs(prims, from, to, o + light * t, .02f, &m);
      shade = fminf(shade, clampf(.5f + 8.f * d / t, 0.f, 1.f));
      t += fmaxf(d, .03f);
      if (t > 1.f) break;
    }
    shade *= 1.f - .8f * s[O_SHADOW] * club_shade(s + O_CLUB3, p, light);
  }
  V3 half = unit(light - eye_dir);
  float spec = mat[6] * powf(fmaxf(0.f, dot(n, half)), 24.f) * shade;
  float sky = .7f + .3f * n.z;
  V3 k = cloth(mat, photos, p) * (s[O_AMB] * sky + (1.15f - s[O_AMB]) * diffuse * shade);
  return mul(k, load3(s + O_LIGHTCOL)) + v3(spec, spec, spec);
}

__device__ inline V3 ground_colour(const float* s, const float* prims, int limbs_end, V3 p, float t,
                                   const unsigned char* photos) {
  const float* g = s + O_GROUND;
  V3 k = load3(g + 1);
  float f = g[4];
  float fine = noise(p * (40.f * f)) - .5f, mid = noise(p * (9.f * f)) - .5f, wide = noise(p * (1.2f * f)) - .5f;
  float far = expf(-t * .12f);
  k = k * (1.f + far * fine * g[5] + far * mid * g[5] * .6f + wide * .5f);
  int which = (int)g[6];
  if (which >= 0) k = mix(k, photo(photos, which, p.x * g[7], p.y * g[7]), g[8] * far);
  const float* m = s + O_MAT;  // a hitting mat: centre, half sizes, turn, colour, edge
  float c = cosf(m[4]), q = sinf(m[4]), u = (p.x - m[0]) * c + (p.y - m[1]) * q, v = -(p.x - m[0]) * q + (p.y - m[1]) * c;
  if (fabsf(u) < m[2] && fabsf(v) < m[3]) {
    k = load3(m + 5) * (1.f + .4f * fine);
    if (fabsf(u) > m[2] - m[8] || fabsf(v) > m[3] - m[8]) k = load3(m + 9);
  }
  float shade = 0.f;
  V3 light = load3(s + O_LIGHT);
  if (s[O_SHADOW] > 0.f) {
    shade = club_shade(s + O_CLUB3, p, light);
    int near;
    const float* ball = s + O_BALLS;
    if (march(prims, 0, limbs_end, p + v3(0, 0, .01f), light, ball, .02f, 14, &near) > 0.f) shade = 1.f;
  }
  return mul(k, load3(s + O_LIGHTCOL)) * ((s[O_AMB] + (1.1f - s[O_AMB]) * light.z) * (1.f - s[O_SHADOW] * shade));
}

// Overlap of a strip of half-width r with a pixel at distance d from its middle.
__device__ inline float cover(float d, float r) {
  return clampf(fminf(r, d + .5f) - fmaxf(-r, d - .5f), 0.f, 1.f);
}

struct Seg { float d, t, z, r; };
// a, b: x, y, 1/z and radius in pixels.
__device__ inline Seg segment(float px, float py, const float* a, const float* b) {
  float bx = b[0] - a[0], by = b[1] - a[1], l2 = fmaxf(bx * bx + by * by, 1e-6f);
  float u = ((px - a[0]) * bx + (py - a[1]) * by) / l2, t = clampf(u, 0.f, 1.f);
  float dx = px - a[0] - bx * t, dy = py - a[1] - by * t;
  Seg s; s.t = t; s.d = sqrtf(dx * dx + dy * dy);
  if (bx * (py - a[1]) - by * (px - a[0]) < 0.f) s.d = -s.d;
  s.z = 1.f / fmaxf(a[2] + (b[2] - a[2]) * t, 1e-3f); s.r = a[3] + (b[3] - a[3]) * t;
  return s;
}

__device__ inline V3 rod(V3 k, float gloss, V3 along, V3 light, V3 view, float amb, float across) {
  float dl = dot(along, light), diffuse = sqrtf(fmaxf(0.f, 1.f - dl * dl));
  V3 h = unit(light - view);
  float dh = dot(along, h), spec = gloss * powf(fmaxf(0.f, 1.f - dh * dh), 30.f);
  float round = 1.f - .5f * across * across + .25f * across;
  return k * ((amb + (1.1f - amb) * diffuse) * round) + v3(spec, spec, spec);
}

__device__ inline float seen(const float* depth, float z) {
  float n = 0.f;
  for (int i = 0; i < SS * SS; i++) n += z < depth[i] ? 1.f : 0.f;
  return n / (SS * SS);
}

// A club at `steps` instants of each row's exposure; poses: 3 instants x (butt, hosel, toe) x (x, y, 1/z).
__device__ inline void draw_club(const float* s, const float* poses, const float* look, float px, float py,
                                 const float* depth, V3 view, V3* out) {
  int steps = (int)look[0];
  V3 sum = v3(0, 0, 0); float alpha = 0.f;
  float scale = s[O_PXM];
  for (int i = 0; i < steps; i++) {
    float w = look[26] * (steps > 1 ? 2.f * (i + .5f) / steps - 1.f : 0.f) + look[27] * (2.f * py / SIZE - 1.f);
    float k0 = .5f * w * (w - 1.f), k1 = 1.f - w * w, k2 = .5f * w * (w + 1.f);
    float p[3][4];
    for (int a = 0; a < 3; a++)
      for (int c = 0; c < 3; c++) p[a][c] = k0 * poses[a * 3 + c] + k1 * poses[9 + a * 3 + c] + k2 * poses[18 + a * 3 + c];
    p[0][3] = look[1] * scale * p[0][2]; p[1][3] = look[2] * scale * p[1][2];
    p[2][3] = look[3] * scale * p[2][2];
    float got = 0.f; V3 col = v3(0, 0, 0);
    Seg sh = segment(px, py, p[0], p[1]);
    float fade = look[4];
    int is_grip = sh.t < fade;
    float r = is_grip ? look[5] * scale / sh.z * (1.25f - .45f * sh.t / fade) : sh.r;
    float c = cover(sh.d, r);
    if (c > 0.f) {
      c *= seen(depth, sh.z - .012f);
      float across = r > .8f ? clampf(sh.d / r, -1.f, 1.f) : 0.f;
      V3 k = is_grip ? load3(look + 6) : load3(look + 9);
      if (!is_grip && look[20] > 0.f && fract(sh.t * look[20]) < .12f) k = k * .6f;
      if (!is_grip && sh.t > .975f && look[21] > 0.f) k = v3(.04f, .04f, .04f);
      if (!is_grip && sh.t < fade + .12f && sh.t > fade + .03f && look[21] > 1.f) k = load3(look + 17);
      col = rod(k, is_grip ? .05f : look[12], load3(look + 22), load3(s + O_LIGHT), view, s[O_AMB], across) * c;
      got = c;
    }
    float heel[4], toe[4];
    for (int q = 0; q < 4; q++) { heel[q] = p[1][q]; toe[q] = p[2][q]; }
    heel[3] = look[16] * scale * p[1][2];
    Seg hd = segment(px, py, heel, toe);
    float ch = cover(hd.d, hd.r);
    if (ch > 0.f) {
      ch *= seen(depth, hd.z - .02f);
      float a = clampf(hd.d / fmaxf(hd.r, .5f), -1.f, 1.f), hi = look[25] * powf(clampf(1.f - fabsf(a - .4f), 0.f, 1.f), 6.f);
      V3 k = load3(look + 13) * (s[O_AMB] + (1.1f - s[O_AMB]) * clampf(.6f + .6f * a, 0.f, 1.f)) + v3(hi, hi, hi);
      col = col * (1.f - ch) + k * ch; got = got * (1.f - ch) + ch;
    }
    sum = sum + col; alpha += got;
  }
  float inv = 1.f / steps;
  *out = *out * (1.f - alpha * inv) + sum * inv;
}

__device__ inline void draw_lines(const float* s, const float* lines, float px, float py, const float* depth, V3 view, V3* out) {
  for (int i = 0; i < N_LINES; i++) {
    const float* l = lines + i * W_LINE;
    if (l[3] <= 0.f) continue;
    Seg g = segment(px, py, l, l + 4);
    float c = cover(g.d, g.r);
    if (c <= 0.f) continue;
    c *= seen(depth, g.z - .01f) * l[15];
    V3 k = load3(l + 8);
    if (l[14] > 0.f && fract(g.t * l[14]) < .5f) k = load3(l + 11);
    float across = g.r > .8f ? clampf(g.d / g.r, -1.f, 1.f) : 0.f;
    *out = mix(*out, rod(k, l[16], v3(0, 0, 1), load3(s + O_LIGHT), view, s[O_AMB], across), c);
  }
}

__device__ inline void pixel(const float* s, const unsigned char* photos, unsigned char* rgb, int px, int py) {
  const float* cam = s + O_CAM;
  V3 eye = load3(cam), right = load3(cam + 3), down = load3(cam + 6), fwd = load3(cam + 9);
  const float* prims = s + O_PRIMS;
  int n0 = (int)s[O_COUNTS], n1 = (int)s[O_COUNTS + 1], n2 = (int)s[O_COUNTS + 2];
  float depth[SS * SS];
  V3 sum = v3(0, 0, 0), mid = v3(0, 0, 1);
  for (int k = 0; k < SS * SS; k++) {
    float sx = px + (k % SS + .5f) / SS, sy = py + (k / SS + .5f) / SS;
    float u = (2.f * sx / SIZE - 1.f) * cam[12] + cam[13], v = (2.f * sy / SIZE - 1.f) * cam[12] + cam[14];
    V3 raw = fwd + right * u + down * v;
    float norm = len(raw);
    V3 d = raw * (1.f / norm);
    mid = d;
    const float* bg = s + O_BACK;
    V3 col = photo(photos, (int)bg[0], bg[1] + bg[3] * (sx / SIZE) * bg[8], bg[2] + bg[3] * (sy / SIZE));
    col = mul(col, load3(bg + 4));
    if (bg[7] > 0.f) col = mix(col, load3(bg + 9), bg[7]);
    float best = 1e6f;
    if (s[O_GROUND] > 0.f && d.z < -1e-4f) {
      float t = -eye.z / d.z;
      if (t < 60.f) {
        float haze = clampf((t - 12.f) / 48.f, 0.f, 1.f);
        best = t;
        col = mix(ground_colour(s, prims, n0, eye + d * t, t, photos), col, haze * haze);
      }
    }
    int from = 0;
    for (int group = 0; group < 3; group++) {
      int to = group == 0 ? n0 : group == 1 ? n1 : n2, near = 0;
      float melt = group == 2 ? .002f : s[O_MELT];
      float t = march(prims, from, to, eye, d, s + O_BALLS + 4 * group, melt, 48, &near);
      if (t > 0.f && t < best) { best = t; col = lit(s, prims, from, to, eye + d * t, d, near, photos); }
      from = to;
    }
    depth[k] = best / norm;
    sum = sum + col;
  }
  V3 out = sum * (1.f / (SS * SS));
  float cx = px + .5f, cy = py + .5f;
  draw_lines(s, s + O_LINES, cx, cy, depth, mid, &out);
  for (int i = N_CLUBS - 1; i >= 0; i--)
    if (s[O_LOOKS + i * W_LOOK] > 0.f) draw_club(s, s + O_POSES + i * 27, s + O_LOOKS + i * W_LOOK, cx, cy, depth, mid, &out);
  float c[3] = {out.x, out.y, out.z};
  for (int i = 0; i < 3; i++) rgb[i] = (unsigned char)(255.f * clampf(powf(fmaxf(c[i], 0.f), s[O_GAMMA]), 0.f, 1.f) + .5f);
}

#ifdef HOST
extern "C" void render(const float* scenes, const unsigned char* photos, unsigned char* out, int count) {
  for (int i = 0; i < count; i++)
    for (int y = 0; y < SIZE; y++)
      for (int x = 0; x < SIZE; x++)
        pixel(scenes + (size_t)i * W_SCENE, photos, out + (((size_t)i * SIZE + y) * SIZE + x) * 3, x, y);
}
#else
extern "C" __global__ void render(const float* scenes, const unsigned char* photos, unsigned char* out, int count) {
  int x = blockIdx.x * blockDim.x + threadIdx.x, y = blockIdx.y * blockDim.y + threadIdx.y, i = blockIdx.z;
  if (x >= SIZE || y >= SIZE || i >= count) return;
  pixel(scenes + (size_t)i * W_SCENE, photos, out + (((size_t)i * SIZE + y) * SIZE + x) * 3, x, y);
}
#endif
