/** The fine relief of a finish: kernel/relief.ts. */
export const reliefs = /* wgsl */ `
fn turnOf(x: f32, y: f32) -> f32 {
  let ax = abs(x);
  let ay = abs(y);
  let most = max(ax, ay);
  if (!(most > 0.0)) { return 0.0; }
  let q = min(ax, ay) / most;
  let q2 = q * q;
  var a = q * (0.9998660 + q2 * (-0.3302995 + q2 * (0.1801410 + q2 * (-0.0851330 + q2 * 0.0208351))));
  a *= 0.15915494309;
  if (ay > ax) { a = 0.25 - a; }
  if (x < 0.0) { a = 0.5 - a; }
  return select(a, 1.0 - a, y < 0.0);
}

fn corner(i: i32, j: i32, salt: u32) -> f32 {
  return f32(hash((u32(i) * 0x9e3779b9u) ^ hash(u32(j) * 0x85ebca6bu + salt)) >> 8u) * (2.0 / 16777216.0) - 1.0;
}

fn noise(u: f32, v: f32, columns: i32, salt: u32) -> f32 {
  let fu = floor(u);
  let fv = floor(v);
  var a = u - fu;
  var b = v - fv;
  a = a * a * (3.0 - 2.0 * a);
  b = b * b * (3.0 - 2.0 * b);
  let i = i32(fu) % columns;
  let k = (i + 1) % columns;
  let j = i32(fv);
  let low = corner(i, j, salt) * (1.0 - a) + corner(k, j, salt) * a;
  let high = corner(i, j + 1, salt) * (1.0 - a) + corner(k, j + 1, salt) * a;
  return low * (1.0 - b) + high * b;
}

fn share(i: i32, j: i32, salt: u32) -> f32 { return corner(i, j, salt) * 0.5 + 0.5; }

/* dents at cell coordinates (u, v), with a period of columns in u: slopes of about one either way */
fn dents(u: f32, v: f32, columns: i32, tilt: f32) -> vec2f {
  let fu = floor(u);
  let fv = floor(v);
  var nearest = 1e9;
  var best = vec2f(0.0);
  var bestI = 0;
  var bestJ = 0;
  for (var b = -1; b <= 1; b++) {
    let j = i32(fv) + b;
    for (var a = -1; a <= 1; a++) {
      let i = (i32(fu) + a + columns) % columns;
      let p = vec2f(u - fu - f32(a) - share(i, j, 5u), v - fv - f32(b) - share(i, j, 6u));
      let d = p.x * p.x + p.y * p.y;
      if (d < nearest) {
        nearest = d;
        best = p;
        bestI = i;
        bestJ = j;
      }
    }
  }
  let bowl = (1.0 - tilt) * 2.0;
  return bowl * best + tilt * vec2f(corner(bestI, bestJ, 7u), corner(bestI, bestJ, 8u));
}

fn strokes(u: f32, fineU: f32, v: f32, columns: f32, fine: f32, salt: u32) -> f32 {
  return noise(u, v / 60.0, i32(columns), salt) + 0.6 * noise(fineU, v / 60.0 * 2.7, i32(fine), salt + 1u);
}

/* strokes 45 degrees to either side; a period ahead, since cells are counted from zero */
fn crossed(turn: f32, v: f32, columns: f32, fine: f32) -> vec2f {
  let to = strokes(turn * columns + columns + v, turn * fine + fine + v * 2.7, v, columns, fine, 9u);
  let fro = strokes(turn * columns + columns - v, turn * fine + fine - v * 2.7, v, columns, fine, 11u);
  return vec2f(to + fro, to - fro) * 0.70710678;
}

/* strokes in circles: the spot that was brushed last counts, of rows that are offset by half a spot */
fn circles(u: f32, v: f32, columns: i32) -> vec2f {
  let fu = floor(u);
  let fv = floor(v);
  for (var b = 1; b >= -1; b--) {
    let j = i32(fv) + b;
    let y = (v - fv - f32(b)) * 0.8660254;
    let shift = select(0.0, 0.5, (j & 1) == 1);
    for (var a = 1; a >= -1; a--) {
      let p = vec2f(u - fu - f32(a) - shift, y);
      let d = p.x * p.x + p.y * p.y;
      if (d > 0.66 * 0.66) { continue; }
      let i = (i32(fu) + a + columns) % columns;
      let salt = hash((u32(i) * 0x9e3779b9u) ^ hash(u32(j) * 0x85ebca6bu + 13u));
      let r = sqrt(d);
      let slope = noise(r * 56.0, 0.0, 1024, salt) + 0.6 * noise(r * 56.0 * 2.7, 0.0, 1024, salt + 1u);
      return select(vec2f(0.0), p * (slope / max(r, 1e-6)), r > 1e-6);
    }
  }
  return vec2f(0.0);
}

/* a point of the world in the coordinates of a band: kernel/band-place.ts */
fn bandPlace(surface: u32, p: vec3f) -> vec3f {
  let r = p - quadAt(surface + RELIEF_CENTRE).xyz;
  let axis = tripleAt(surface + 20u);
  let start = quadAt(surface + RELIEF_X).xyz;
  return vec3f(dot(r, start), dot(r, cross(axis, start)), dot(r, axis));
}

/* slopes along and across at a point in the world */
fn relief(surface: u32, p: vec3f) -> vec2f {
  let marks = quadAt(surface + RELIEF);
  let place = bandPlace(surface, p);
  let below = floatAt(surface + RELIEF_RADIUS) - sqrt(place.x * place.x + place.y * place.y);
  let across = (place.z + withSign(below, place.z)) * marks.y;
  let columns = marks.x;
  let turn = turnOf(place.x, place.y);
  let tilt = floatAt(surface + RELIEF_TILT);
  if (HAS_DENTS && tilt >= 0.0 && tilt <= 1.0) { return marks.zw * dents(turn * columns, across, i32(columns), tilt); }
  let fine = floor(columns * 2.7);
  if (HAS_CROSSED && tilt == f32(CROSSED)) { return marks.zw * crossed(turn, across, columns, fine); }
  if (HAS_CIRCLES && tilt == f32(CIRCLES)) { return marks.zw * circles(turn * columns, across, i32(columns)); }
  var slopes = vec2f(0.0);
  if (HAS_LINES) {
    let u = turn * columns;
    let w = turn * fine;
    if (marks.z > 0.0) {
      slopes.x = marks.z * (noise(u, across, i32(columns), 1u) + 0.6 * noise(w, across * 2.7, i32(fine), 2u));
    }
    if (marks.w > 0.0) {
      slopes.y = marks.w * (noise(u, across, i32(columns), 3u) + 0.6 * noise(w, across * 2.7, i32(fine), 4u));
    }
  }
  return slopes;
}
`;
