/** Tangents and shading normals: kernel/shading-frame.ts. */
export const frames = /* wgsl */ `
struct Frame { t: vec3f, b: vec3f }

fn frameOf(n: vec3f) -> Frame {
  let s = withSign(1.0, n.z);
  let a = -1.0 / (s + n.z);
  let b = n.x * n.y * a;
  return Frame(vec3f(1.0 + s * n.x * n.x * a, s * b, -s * n.x), vec3f(b, s + n.y * n.y * a, -n.y));
}

/* along the brushing: cross(axis, normal) */
fn frameAlong(n: vec3f, axis: vec3f) -> Frame {
  let c = cross(axis, n);
  let l2 = dot(c, c);
  if (l2 < 1e-10) { return frameOf(n); }
  let t = c * (1.0 / sqrt(l2));
  return Frame(t, cross(n, t));
}

fn interpolateNormal(id: u32, u: f32, v: f32, g: vec3f) -> vec3f {
  let index = valueU(INDICES_AT) + id * 12u;
  let normals = valueU(NORMALS_AT);
  let n = (1.0 - u - v) * tripleAt(normals + wordAt(index) * 12u)
    + u * tripleAt(normals + wordAt(index + 4u) * 12u)
    + v * tripleAt(normals + wordAt(index + 8u) * 12u);
  let l2 = dot(n, n);
  if (!(l2 > 1e-12)) { return g; }
  return n * (1.0 / sqrt(l2));
}

/* bent just enough that the mirror direction leaves the true surface g, whose cosine to the way back is wg */
fn liftMirror(normal: vec3f, d: vec3f, g: vec3f, wg: f32) -> vec3f {
  let r = d - 2.0 * dot(d, normal) * normal;
  let rg = dot(r, g);
  let least = min(wg * 0.9, 0.01);
  if (rg >= least) { return normal; }
  let lifted = r + (least - rg) * g;
  let n = lifted * (1.0 / sqrt(dot(lifted, lifted))) - d;
  return n * (1.0 / sqrt(dot(n, n)));
}
`;
