import { COUNTS } from '../../film-error.ts';
import { SEEN } from '../../film-state.ts';

/** What a viewer sees of a pixel's error: film-error.ts. */
export const seen = /* wgsl */ `
const MID_GREY: f32 = 22.0;
const AT_VIEWING_SCALE: f32 = 0.2821;
const COMPRESSED: f32 = 0.76;
const COUNTS = array<f32, ${COUNTS.length}>(${COUNTS.join(', ')});
const STONE_SHOWN: u32 = ${SEEN.stone}u;

/* slope of CIELAB's f; what lies below its straight part is chosen, not computed */
fn slope(t: vec3f) -> vec3f {
  return select(vec3f(7.787), pow(max(t, vec3f(0.008856)), vec3f(-2.0 / 3.0)) / 3.0, t > vec3f(0.008856));
}

/* linear Rec. 709 to XYZ over that of its white */
fn xyzOf(v: vec3f) -> vec3f {
  return vec3f(dot(v, vec3f(0.4339, 0.3762, 0.1899)), dot(v, vec3f(0.2126, 0.7152, 0.0722)), dot(v, vec3f(0.0178, 0.1095, 0.8727)));
}

/* square of the colour difference that a small difference makes to a pixel's light */
fn seenSquare(light: vec3f, difference: vec3f) -> f32 {
  let peak = max(max(light.x, light.y), light.z);
  var bright = 1.0;
  var steep = 1.0;
  if (peak > COMPRESSED) {
    let rest = (1.0 - COMPRESSED) / (peak + 1.0 - 2.0 * COMPRESSED);
    bright = (1.0 - (1.0 - COMPRESSED) * rest) / peak;
    steep = rest * rest;
  }
  let xyz = bright * xyzOf(light);
  let f = slope(xyz);
  let d = f * (bright * xyzOf(difference));
  let lightness = 116.0 * d.y * (steep / bright);
  let da = 500.0 * (d.x - d.y);
  let db = 200.0 * (d.y - d.z);
  let g = f * xyz;
  let a = 1500.0 * (g.x - g.y);
  let b = 600.0 * (g.y - g.z);
  let chroma = sqrt(a * a + b * b);
  let along = select(0.0, (da * a + db * b) / chroma, chroma > 0.0);
  let across = max(0.0, da * da + db * db - along * along);
  let byChroma = along / (1.0 + 0.045 * chroma);
  let byHue = 1.0 + 0.015 * chroma;
  return lightness * lightness + byChroma * byChroma + across / (byHue * byHue);
}
`;
