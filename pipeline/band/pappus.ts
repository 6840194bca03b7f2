import type { ShapeDesign } from '../plan/design.ts';
import { type Lane, wholeBand } from './lane.ts';
import { laneSection } from './lane-section.ts';
import type { SectionPiece } from './section-piece.ts';

export interface SectionFacts {
  /** mm² */
  area: number;
  /** distance of the centroid from the finger's axis, mm */
  centroidR: number;
}

/** Five-point Gauss–Legendre nodes and weights on [0, 1] (Abramowitz & Stegun, table 25.4). */
const NODES = [-0.906179845938664, -0.538469310105683, 0, 0.538469310105683, 0.906179845938664].map(
  (x) => (x + 1) / 2,
);
const WEIGHTS = [
  0.236926885056189, 0.478628670499366, 0.568888888888889, 0.478628670499366, 0.236926885056189,
].map((w) => w / 2);
const PARTS = 8;

/**
 * Area and centroid of a lane's section at θ, by Green's theorem along its outline:
 * A = −∮ r dz and A·r̄ = −∮ r²/2 dz, to about 1e-12.
 */
export function sectionFacts(lane: Lane, theta: number): SectionFacts {
  let area = 0;
  let moment = 0;
  for (const piece of laneSection(lane, theta)) {
    area -= integrate(piece, (r) => r);
    moment -= integrate(piece, (r) => (r * r) / 2);
  }
  return { area, centroidR: moment / area };
}

/** ∫ f(r) dz along a piece. With n the outward normal in the section, dz = −n_r ds. */
function integrate(piece: SectionPiece, f: (r: number) => number): number {
  let sum = 0;
  for (let part = 0; part < PARTS; part++) {
    for (let k = 0; k < NODES.length; k++) {
      const p = piece.at((part + NODES[k]) / PARTS);
      sum -= (WEIGHTS[k] / PARTS) * f(p.r) * (p.nr / Math.hypot(p.nz, p.nr));
    }
  }
  return sum * piece.length;
}

/** Section of the whole band as if it had neither seams nor recesses. */
export function bandSectionFacts(design: ShapeDesign): SectionFacts {
  return sectionFacts(wholeBand(design), 0);
}

/** Pappus: V = 2π · r̄ · A, for a band without seams, recesses and stones, mm³. */
export function pappusVolume(facts: SectionFacts): number {
  return 2 * Math.PI * facts.centroidR * facts.area;
}

/** Volume of a lane before hammering, seats and claws, mm³: ∫ A·r̄ dθ by the periodic trapezoid rule. */
export function laneVolume(lane: Lane, samples = 720): number {
  let sum = 0;
  for (let i = 0; i < samples; i++) {
    const { area, centroidR } = sectionFacts(lane, (2 * Math.PI * i) / samples);
    sum += area * centroidR;
  }
  return (2 * Math.PI * sum) / samples;
}
