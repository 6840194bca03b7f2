/** The metal's lobe: kernel/metal.ts. Directions are local, z is the shading normal. */
export const metal = /* wgsl */ `
fn sampleNormal(w: vec3f, alpha: vec2f, u: f32, v: f32) -> vec3f {
  let sxy = w.xy * alpha;
  let s = 1.0 / sqrt(sxy.x * sxy.x + sxy.y * sxy.y + w.z * w.z);
  let sz = w.z * s;
  let turn = circle(u);
  let h = (1.0 - v) * (1.0 + sz) - sz;
  let r = sqrt(max(1.0 - h * h, 0.0));
  let nx = (r * turn.y + sxy.x * s) * alpha.x;
  let ny = (r * turn.x + sxy.y * s) * alpha.y;
  let nz = max(h + sz, 1e-9);
  return vec3f(nx, ny, nz) * (1.0 / sqrt(nx * nx + ny * ny + nz * nz));
}

/* Smith's lambda of a direction with z > 0 */
fn lambda(w: vec3f, alpha: vec2f) -> f32 {
  let a = w.xy * alpha;
  return (sqrt(1.0 + (a.x * a.x + a.y * a.y) / (w.z * w.z)) - 1.0) * 0.5;
}

fn distribution(h: vec3f, alpha: vec2f) -> f32 {
  let a = h.xy / alpha;
  let q = a.x * a.x + a.y * a.y + h.z * h.z;
  return 1.0 / (PI * alpha.x * alpha.y * q * q);
}

fn albedo(table: u32, x: f32, y: f32, mu: f32) -> f32 {
  let x2 = x * x;
  let r2 = x2 + y * y;
  let col = sqrt(min(mu, 1.0)) * f32(ALBEDO_MU - 1u);
  var row = 0.0;
  if (r2 > 1e-12) { row = min(x2 / r2, 1.0) * f32(ALBEDO_TURN - 1u); }
  let i = min(u32(col), ALBEDO_MU - 2u);
  let j = min(u32(row), ALBEDO_TURN - 2u);
  let fx = col - f32(i);
  let fy = row - f32(j);
  let at = table + ((j * ALBEDO_MU + i) << 2u);
  let a = floatAt(at);
  let b = floatAt(at + 4u);
  let c = floatAt(at + ALBEDO_MU * 4u);
  let d = floatAt(at + ALBEDO_MU * 4u + 4u);
  let near = a + fx * (b - a);
  return near + fy * (c + fx * (d - c) - near);
}

`;

/** The metal's colour, of one channel in so many colourways at a time: `Some` of colours.ts. */
export const reflectances = /* wgsl */ `
/*
 * with F0 and b; at: (1 - c)^5, c (1 - c)^6 and (1 - E) / E. Of a body of colour with its two tones; at: the coat's share,
 * and -1 less the place between the tones
 */
fn reflectance(f0: Some, b: Some, at: vec3f) -> Some {
  if (at.z < 0.0) { return at.x + (1.0 - at.x) * (f0 + (-1.0 - at.z) * (b - f0)); }
  let f = f0 + (1.0 - f0) * at.x - b * at.y;
  return clamp(f, Some(0.0), Some(1.0)) * (1.0 + f0 * at.z);
}
`;
