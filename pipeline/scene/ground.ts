import type { GroundPlan, PaperPlan } from '../plan/studio.ts';
import { GROUND_ALBEDO } from './studio.ts';
import { COAT_INDEX, type Ground, type Vec3 } from './trace-scene.ts';

/** Film value of unshaded white ground and background; the display transform maps it to full white. */
export const WHITE_LEVEL = 1.3;

/**
 * Share of the way from a frame's edge to its middle over which white ground loses its shading, so that frames end in pure
 * white. It begins as far out as the contact shadow of a subject that fills its frame.
 */
const RIM = 0.26;

/** The ground of a shot as the tracer takes it. `paper`: of the studio, for white and clear ground. */
export function shotGround(plan: GroundPlan, paper?: PaperPlan): Ground {
  switch (plan.kind) {
    case 'sweep':
      return { kind: 'sweep', albedo: plan.colour, level: 0 };
    case 'gloss':
      return { kind: 'gloss', albedo: plan.colour.map(underCoat) as Vec3, level: 0 };
    default:
      return {
        kind: plan.kind,
        albedo: [GROUND_ALBEDO, GROUND_ALBEDO, GROUND_ALBEDO],
        level: WHITE_LEVEL,
        rim: RIM,
        ...(paper ? { paper } : {}),
      };
  }
}

/** Unpolarised reflectance of a dielectric boundary seen from outside (Fresnel). */
function fresnel(cosine: number, index: number): number {
  const ct = Math.sqrt(1 - (1 - cosine * cosine) / (index * index));
  const s = (cosine - index * ct) / (cosine + index * ct);
  const p = (index * cosine - ct) / (index * cosine + ct);
  return (s * s + p * p) / 2;
}

/** The same under even light: ∫ F(c) 2c dc. */
export function hemisphericFresnel(index: number): number {
  const n = 512;
  let sum = 0;
  for (let i = 0; i < n; i++) {
    const c = (i + 0.5) / n;
    sum += (fresnel(c, index) * 2 * c) / n;
  }
  return sum;
}

/**
 * Diffuse reflectance of a body as it shows through its coat, but for the factor 1 − F of the ray that leaves towards
 * the eye. Light enters with the hemispheric transmittance T, is reflected to and fro between body and coat, whose
 * inner reflectance is 1 − T/n², and leaves into n² times the solid angle (Saunderson, J. Opt. Soc. Am. 32, 1942).
 * A body that reflects everything comes to 1, so no energy is made or lost.
 */
export function underCoat(body: number): number {
  const through = 1 - hemisphericFresnel(COAT_INDEX);
  const out = through / COAT_INDEX ** 2;
  return (body * out) / (1 - body * (1 - out));
}
