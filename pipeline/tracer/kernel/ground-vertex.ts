/**
 * Ground. White ground is a control variate: the empty studio's irradiance E0 on the ground is known (a grid), so a ground
 * point only estimates the difference D the objects make: a ray that meets the objects contributes what they send minus
 * what the studio would have sent; one that misses contributes exactly nothing. The studio's lights are also sampled
 * directly (a blocked one counts negative) and both strategies share the lights' part by the power heuristic. The camera
 * sees level·(1 + D/E0): unshaded ground carries no noise at all. Rays aim at the objects' bounding sphere where it looks
 * small, since no other ray can contribute. A sweep is the same ground seen as it is lit, albedo/π·(E0 + D), and a glossy
 * one has a clear coat over it: the camera's ray goes both ways there, any other one picks.
 */
import { add, addClamped, clamped, largest, limitTo, splat } from './colours';
import { irradiance } from './irradiance';
import {
  BOUND,
  COAT,
  GRID_CENTRE,
  GROUND_ALBEDO,
  GROUND_GLOSS,
  GROUND_KIND,
  GROUND_SWEEP,
  GROUND_WHITE,
  LEVEL,
  PAPER,
  SKY_CHANCE,
} from './layout';
import { seeThrough, shade } from './matte';
import { clearance, leaveBranch, Path, setRay } from './path-state';
import { circle, cosine, draw, powerWeight, sine, stream, u0, u1 } from './sampling';
import { bix, biy, biz, frame, tx, ty, tz } from './shading-frame';
import { fromSky, sky } from './sky';
import { fresnel } from './stone';
import {
  emitted,
  lightA,
  lightB,
  lightFront,
  lightIndex,
  lightPdf,
  lightT,
  meetsCone,
  nearestLight,
  pickLight,
  sampleLight,
  toIndex,
  toPdf,
  toRadiance,
  toT,
  toX,
  toY,
  toZ,
} from './studio';
import { occluded } from './tree';

const PI: f32 = 3.14159265358979;
/** ground further out than this shows the plain level */
const HORIZON: f32 = 1e5;

/** What the camera sees where there is neither object nor ground. */
export function backdrop(): v128 {
  const kind = load<u32>(GROUND_KIND);
  if (kind === GROUND_GLOSS) return sky(Path.dx, Path.dy, Path.dz);
  if (kind !== GROUND_SWEEP) return splat(load<f32>(LEVEL));
  // the paper goes on upwards as it looks at the horizon, so that none is seen
  const out = HORIZON * <f32>1e3;
  return f32x4.mul(
    irradiance(Path.ox + Path.dx * out, Path.oz + Path.dz * out),
    f32x4.mul(v128.load(GROUND_ALBEDO), splat(<f32>1 / PI)),
  );
}

/**
 * Share of the ground's albedo at a place: white paper under the objects that ends on a darker table. The camera never sees
 * it, as it is shown white ground at its level.
 */
function paper(x: f32, z: f32): f32 {
  const perFade = load<f32>(PAPER + 4);
  if (!(perFade > 0)) return 1;
  const cx = x - load<f32>(GRID_CENTRE);
  const cz = z - load<f32>(GRID_CENTRE + 4);
  const out = min<f32>(max<f32>((sqrt<f32>(cx * cx + cz * cz) - load<f32>(PAPER)) * perFade, 0), 1);
  return <f32>1 - (<f32>1 - load<f32>(PAPER + 8)) * out * out * (<f32>3 - <f32>2 * out);
}

/** A ray from the ground meets an object, with the nearest light just found: takes away what the studio would have sent. */
export function takeStudioAway(): void {
  Path.fromGround = false;
  let less = splat(0);
  if (lightIndex < 0) {
    less = clamped(f32x4.neg(f32x4.mul(Path.common, fromSky(Path.dx, Path.dy, Path.dz, Path.pdf))));
  } else if (lightFront) {
    const w = powerWeight(Path.pdf, lightPdf(lightIndex, Path.ox, Path.oy, Path.oz, Path.dx, Path.dy, Path.dz, lightT));
    less = clamped(f32x4.mul(f32x4.mul(Path.common, emitted(lightIndex, lightA, lightB)), splat(-w)));
  }
  add(less);
  shade(less);
}

/** The path meets the ground at distance t and goes on towards the objects; false where it ends. */
export function meetGround(t: f32): bool {
  const dx = Path.dx;
  const dy = Path.dy;
  const dz = Path.dz;
  const ox = Path.ox + dx * t;
  const oz = Path.oz + dz * t;
  const oy = clearance(ox, 0, oz);
  const camera = Path.camera;
  const groundKind = load<u32>(GROUND_KIND);
  const level = load<f32>(LEVEL);
  const far = !(abs<f32>(ox) + abs<f32>(oz) < HORIZON);
  const e0 = irradiance(ox, oz);
  let k: v128;
  Path.firstGround = camera;
  if (camera) seeThrough();
  if (groundKind === GROUND_GLOSS) {
    const f = fresnel(-dy, load<f32>(COAT));
    if (camera) {
      leaveBranch(f, ox, oy, oz, dx, -dy, dz);
      Path.common = splat(<f32>1 - f);
    } else {
      // mostly the mirror: the dark body has little to give, and a coat picked as seldom as it reflects would bring
      // a light's whole brightness in every twentieth path or so
      const body = (<f32>1 - f) * largest(v128.load(GROUND_ALBEDO));
      const chance = f / (f + body);
      if (stream() >= chance) {
        Path.common = f32x4.mul(Path.common, splat((<f32>1 - f) / (<f32>1 - chance)));
      } else {
        Path.common = f32x4.mul(Path.common, splat(f / chance));
        Path.pdf = 0;
        setRay(ox, oy, oz, dx, -dy, dz);
        return true;
      }
    }
  }
  if (camera && groundKind === GROUND_WHITE) {
    add(splat(level));
    // channels nobody lights have no ratio and stay at the level
    k = v128.bitselect(f32x4.div(splat(level * Path.rim), e0), splat(0), f32x4.gt(e0, splat(1e-9)));
  } else {
    k = f32x4.mul(Path.common, f32x4.mul(v128.load(GROUND_ALBEDO), splat(paper(ox, oz) / PI)));
    addClamped(f32x4.mul(k, e0), Path.scattered);
  }
  if (far || !(largest(k) > 0)) return false;
  Path.camera = false;
  Path.scattered = true;
  limitTo(<f32>PI * largest(k));

  // aim: the bounding sphere's cone, or the cosine where one stands close to it
  const bx = load<f32>(BOUND) - ox;
  const by = load<f32>(BOUND + 4) - oy;
  const bz = load<f32>(BOUND + 8) - oz;
  const b2 = bx * bx + by * by + bz * bz;
  const r2 = load<f32>(BOUND + 12) * load<f32>(BOUND + 12);
  let slice: f32 = 2; // 1 − cosine of the cone's half angle
  if (b2 > r2) {
    const s2 = r2 / b2;
    slice = s2 / (<f32>1 + sqrt<f32>(<f32>1 - s2));
  }
  const cone = slice < <f32>0.5;
  const conePdf: f32 = <f32>1 / (<f32>2 * PI * slice);

  draw();
  // a light that the cone of the objects can't meet is not worth sampling: nothing can block it
  const hopeless = cone && u0 < <f32>1 - load<f32>(SKY_CHANCE) && !meetsCone(pickLight(u0), ox, oy, oz, bx, by, bz, b2, slice);
  if (!hopeless && sampleLight(ox, oy, oz, u0, u1) && toY > 0) {
    const light = f32x4.mul(k, f32x4.mul(toRadiance, splat(toY / toPdf)));
    let other = toY * (<f32>1 / PI);
    if (cone) {
      const along = toX * bx + toY * by + toZ * bz;
      other = along > (<f32>1 - slice) * sqrt<f32>(b2) ? conePdf : 0;
    }
    // outside the cone nothing can block
    if ((!cone || other > 0) && occluded(ox, oy, oz, toX, toY, toZ, toT)) {
      const w = powerWeight(toPdf, other);
      const index = toIndex;
      nearestLight(ox, oy, oz, toX, toY, toZ, toT * <f32>0.9999);
      if (lightIndex < 0 || lightIndex === index) {
        const less = clamped(f32x4.mul(light, splat(-w)));
        add(less);
        shade(less);
      }
    }
  }

  draw();
  if (cone) {
    const h = slice * u0;
    const ct = <f32>1 - h;
    const st = sqrt<f32>(max<f32>(h * (<f32>2 - h), 0));
    const bl = <f32>1 / sqrt<f32>(b2);
    const zx = bx * bl;
    const zy = by * bl;
    const zz = bz * bl;
    circle(u1);
    frame(zx, zy, zz);
    setRay(
      ox,
      oy,
      oz,
      zx * ct + st * (cosine * tx + sine * bix),
      zy * ct + st * (cosine * ty + sine * biy),
      zz * ct + st * (cosine * tz + sine * biz),
    );
    Path.pdf = conePdf;
  } else {
    circle(u1);
    const r = sqrt<f32>(u0);
    setRay(ox, oy, oz, r * cosine, sqrt<f32>(<f32>1 - u0), r * sine);
    Path.pdf = Path.dy * (<f32>1 / PI);
  }
  if (Path.dy <= 0) return false;
  Path.common = f32x4.mul(k, splat(Path.dy / Path.pdf));
  Path.fromGround = true;
  return true;
}
