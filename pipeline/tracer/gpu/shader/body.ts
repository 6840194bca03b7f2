/** A body of colour under a clear coat: kernel/body.ts. Directions are local, z is the shading normal. */
export const bodies = /* wgsl */ `
const COAT_CHANCE: f32 = 0.35;

struct Coat { w: vec3f, ratio: f32, alpha: vec2f, table: u32, lo: f32, scale: f32, chance: f32 }

fn coatOf(surface: u32, w: vec3f, alpha: vec2f) -> Coat {
  let table = wordAt(surface + 16u);
  let e = albedo(table, w.x, w.y, w.z);
  let scale = floatAt(surface + BODY_SCALE) * (1.0 - e);
  let chance = COAT_CHANCE + (1.0 - COAT_CHANCE) * e;
  return Coat(w, floatAt(surface + COAT_RATIO), alpha, table, lambda(w, alpha), scale, chance);
}

fn coatMirrors(coat: Coat, cosine: f32) -> f32 { return fresnel(clamp(cosine, 0.0, 1.0), coat.ratio); }

/* shine, matt with R = 1, both times the cosine of i, and the density of following i */
fn weigh(coat: Coat, i: vec3f, mirror: bool) -> vec3f {
  let matt = coat.scale * (1.0 - albedo(coat.table, i.x, i.y, i.z)) * i.z;
  let own = (1.0 - coat.chance) * i.z * (1.0 / PI);
  if (mirror) { return vec3f(0.0, matt, own); }
  var h = i + coat.w;
  h *= 1.0 / sqrt(dot(h, h));
  let d = distribution(h, coat.alpha) / (4.0 * coat.w.z);
  let shine = coatMirrors(coat, dot(h, coat.w)) * d / (1.0 + coat.lo + lambda(i, coat.alpha));
  return vec3f(shine, matt, own + coat.chance * d / (1.0 + coat.lo));
}

fn mirrorShare(coat: Coat, cosine: f32, i: vec3f) -> f32 {
  return coatMirrors(coat, cosine) * (1.0 + coat.lo) / (1.0 + coat.lo + lambda(i, coat.alpha));
}
`;
