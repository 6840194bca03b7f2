/** Optics of transparent stones: kernel/stone.ts. */
export const stones = /* wgsl */ `
fn fresnel(ci: f32, ratio: f32) -> f32 {
  let s2 = ratio * ratio * (1.0 - ci * ci);
  if (s2 >= 1.0) { return 1.0; }
  let ct = sqrt(1.0 - s2);
  let s = (ratio * ci - ct) / (ratio * ci + ct);
  let p = (ci - ratio * ct) / (ci + ratio * ct);
  return 0.5 * (s * s + p * p);
}

/* weight r g b and wavelength in micrometres */
fn wave(u: f32) -> vec4f {
  let x = u * f32(WAVE_STEPS);
  let i = min(u32(x), WAVE_STEPS - 1u);
  let at = WAVE + (i << 4u);
  let a = quadAt(at);
  return a + (x - f32(i)) * (quadAt(at + 16u) - a);
}

/* exp(x), x <= 0 */
fn decay(x: vec3f) -> vec3f {
  let t = max(x, vec3f(-87.0)) * 1.4426950408889634;
  let n = round(t);
  let f = (t - n) * 0.6931471805599453;
  var p = vec3f(0.0013888889);
  p = p * f + 0.008333334;
  p = p * f + 0.041666668;
  p = p * f + 0.16666667;
  p = p * f + 0.5;
  p = p * f + 1.0;
  p = p * f + 1.0;
  return p * bitcast<vec3f>(vec3i(vec3i(n) + 127) << vec3u(23u));
}
`;
