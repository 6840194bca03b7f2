/** The sky, a dome or a picture: kernel/sky.ts. */
export const skies = /* wgsl */ `
fn dome(y: f32) -> vec3f {
  let steps = valueU(DOME_STEPS);
  let at = valueU(DOME_AT);
  if (steps == 1u) { return quadAt(at).xyz; }
  let x = (arcsine(y) * 0.3183098861837907 + 0.5) * f32(steps - 1u);
  let i = min(u32(max(x, 0.0)), steps - 2u);
  let a = quadAt(at + (i << 4u)).xyz;
  let b = quadAt(at + (i << 4u) + 16u).xyz;
  return a + (x - f32(i)) * (b - a);
}

fn arcsine(x: f32) -> f32 {
  let a = min(abs(x), 1.0);
  var p = -0.0012624911;
  p = p * a + 0.0066700901;
  p = p * a - 0.0170881256;
  p = p * a + 0.030891881;
  p = p * a - 0.0501743046;
  p = p * a + 0.0889789874;
  p = p * a - 0.2145988016;
  p = p * a + 1.5707963050;
  return withSign(1.5707963267948966 - sqrt(1.0 - a) * p, x);
}

/* in turns, -0.5 to 0.5. Arc tangent up to tan(pi/8) as in Cephes, atanf; error below 1e-7 */
fn turnAbout(y: f32, x: f32) -> f32 {
  let ax = abs(x);
  let ay = abs(y);
  let most = max(ax, ay);
  if (!(most > 0.0)) { return 0.0; }
  var q = min(ax, ay) / most;
  var base = 0.0;
  if (q > 0.41421356) {
    base = 0.7853981634;
    q = (q - 1.0) / (q + 1.0);
  }
  let z = q * q;
  var a = base + (((8.05374449538e-2 * z - 1.38776856032e-1) * z + 1.99777106478e-1) * z - 3.33329491539e-1) * z * q + q;
  if (ay > ax) { a = 1.5707963267948966 - a; }
  if (x < 0.0) { a = PI - a; }
  return withSign(a, y) * (0.5 / PI);
}

fn acrossSky(x: f32, z: f32) -> f32 {
  let u = turnAbout(x, -z) + 0.5 + valueF(SKY_TURN);
  return u - floor(u);
}

fn downSky(y: f32) -> f32 { return 0.5 - arcsine(y) / PI; }

fn sky(d: vec3f) -> vec3f {
  if (HAS_SKY) { return skyPicture(d); }
  return dome(d.y);
}

fn skyPicture(d: vec3f) -> vec3f {
  let width = i32(valueU(SKY_WIDTH));
  let height = i32(valueU(SKY_HEIGHT));
  let c = acrossSky(d.x, d.z) * f32(width) - 0.5;
  let r = min(max(downSky(d.y) * f32(height) - 0.5, 0.0), f32(height - 1));
  let i = i32(floor(c));
  let j = min(i32(r), height - 2);
  let i0 = select(i, width - 1, i < 0);
  let i1 = select(i0 + 1, 0, i0 + 1 == width);
  let fc = c - f32(i);
  let row = valueU(SKY_AT) + u32(j * width) * 16u;
  let below = row + u32(width) * 16u;
  let top = mix3(quadAt(row + (u32(i0) << 4u)).xyz, quadAt(row + (u32(i1) << 4u)).xyz, fc);
  let bottom = mix3(quadAt(below + (u32(i0) << 4u)).xyz, quadAt(below + (u32(i1) << 4u)).xyz, fc);
  return mix3(top, bottom, r - f32(j));
}

fn mix3(a: vec3f, b: vec3f, f: f32) -> vec3f { return a + f * (b - a); }

fn stepOf(table: u32, count: u32, u: f32) -> u32 {
  var low = 0u;
  var high = count;
  while (high - low > 1u) {
    let middle = (low + high) >> 1u;
    if (floatAt(table + (middle << 2u)) <= u) { low = middle; } else { high = middle; }
  }
  return low;
}

fn skyDensityAt(j: u32, i: u32, s: f32) -> f32 {
  let width = valueU(SKY_WIDTH);
  let height = valueU(SKY_HEIGHT);
  let rows = valueU(SKY_ROWS_AT) + (j << 2u);
  let columns = valueU(SKY_COLUMNS_AT) + ((j * (width + 1u) + i) << 2u);
  let p = (floatAt(rows + 4u) - floatAt(rows)) * (floatAt(columns + 4u) - floatAt(columns));
  return (p * f32(width) * f32(height)) / (2.0 * PI * PI * max(s, 1e-4));
}

fn skyPdf(d: vec3f) -> f32 {
  let width = valueU(SKY_WIDTH);
  let height = valueU(SKY_HEIGHT);
  let i = min(u32(acrossSky(d.x, d.z) * f32(width)), width - 1u);
  let j = min(u32(max(downSky(d.y) * f32(height), 0.0)), height - 1u);
  return skyDensityAt(j, i, sqrt(max(1.0 - d.y * d.y, 0.0)));
}

/* a direction, and its density */
fn sampleSky(a: f32, b: f32) -> vec4f {
  let width = valueU(SKY_WIDTH);
  let height = valueU(SKY_HEIGHT);
  let rows = valueU(SKY_ROWS_AT);
  let j = stepOf(rows, height, a);
  let r0 = floatAt(rows + (j << 2u));
  let r1 = floatAt(rows + (j << 2u) + 4u);
  let columns = valueU(SKY_COLUMNS_AT) + ((j * (width + 1u)) << 2u);
  let i = stepOf(columns, width, b);
  let c0 = floatAt(columns + (i << 2u));
  let c1 = floatAt(columns + (i << 2u) + 4u);
  let v = (f32(j) + min((a - r0) / (r1 - r0), 0.9999)) / f32(height);
  let u = (f32(i) + min((b - c0) / (c1 - c0), 0.9999)) / f32(width);
  let down = circle(v * 0.5);
  let about = circle(u - 0.5 - valueF(SKY_TURN));
  return vec4f(down.x * about.x, down.y, -down.x * about.y, skyDensityAt(j, i, down.x));
}

fn fromSky(d: vec3f, pdf: f32) -> vec3f {
  let light = sky(d);
  if (HAS_SKY && pdf > 0.0) { return light * powerWeight(pdf, valueF(SKY_CHANCE) * skyPdf(d)); }
  return light;
}
`;
