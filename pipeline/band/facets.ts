import type { FacetDesign, ShapeDesign } from '../plan/design.ts';
import type { Problem } from '../problem.ts';
import { type Lane, surveyAngles } from './lane.ts';
import { isUniform } from './outline.ts';
import { mm, pathOf, problem } from './problem-words.ts';
import { radiusAt } from './profile.ts';

/** A flat cut: metal stays where n·x ≤ d; n unit, in band coordinates. */
export interface FacetCut {
  n: [number, number, number];
  d: number;
  /** θ of its middle */
  theta: number;
}

/** Thinnest metal left under a facet that is still solid, mm. Bench checks ask for more. */
const LEAST_LEFT_MM = 0.2;
/** Least height of facets over the floor of a channel, mm. */
const CHANNEL_MM = 0.02;

/** The z at which a lane's outside stands highest, over all θ. */
export function crownZ(lane: Lane): number {
  const [low, high] = spanOf(lane);
  const profile = lane.outer(0);
  const level = profile.pieces.flatMap(({ z0, nz0 }) => (nz0 === 0 && z0 > low && z0 < high ? [z0] : []));
  const middle = low <= 0 && high >= 0 ? [0] : [];
  let crown = low;
  for (const z of [...middle, ...level, high]) {
    if (radiusAt(profile, z) > radiusAt(profile, crown) + 1e-9) crown = z;
  }
  return crown;
}

function spanOf(lane: Lane): [low: number, high: number] {
  const angles = surveyAngles(lane);
  return [Math.min(...angles.map(lane.low.curve.z)), Math.max(...angles.map(lane.high.curve.z))];
}

/**
 * The planes of a lane's facets. Facet k touches, at θ = k · 360°/n and the lane's crown, a point `depth` below the
 * surface; its normal is radial there, or leans towards one edge and the other by turns.
 */
export function facetCuts(lane: Lane, { count, depthMm, slantRad }: FacetDesign): FacetCut[] {
  const z = crownZ(lane);
  const r = radiusAt(lane.outer(0), z) - depthMm;
  return Array.from({ length: count }, (_, k) => {
    const theta = (2 * Math.PI * k) / count;
    const lean = k % 2 === 0 ? slantRad : -slantRad;
    const nr = Math.cos(lean);
    const nz = Math.sin(lean);
    return { n: [nr * Math.sin(theta), nr * Math.cos(theta), nz], d: nr * r + nz * z, theta };
  });
}

/** r of a facet at its own middle and at z; facets come nowhere nearer to the axis at that z. */
function facetRadius(lane: Lane, { depthMm, slantRad }: FacetDesign, z: number): number {
  const crown = crownZ(lane);
  return radiusAt(lane.outer(0), crown) - depthMm - Math.tan(slantRad) * Math.abs(z - crown);
}

/** Least r − underside under a lane's facets over its width, and z there. */
export function thinnestUnderFacets(lane: Lane, facets: FacetDesign): { left: number; z: number } {
  const [low, high] = spanOf(lane);
  let worst = { left: Number.POSITIVE_INFINITY, z: 0 };
  const steps = 64;
  for (let i = 0; i <= steps; i++) {
    const z = low + ((high - low) * i) / steps;
    const left =
      Math.min(radiusAt(lane.outer(0), z), facetRadius(lane, facets, z)) - radiusAt(lane.bore(0), z);
    if (left < worst.left) worst = { left, z };
  }
  return worst;
}

/** Half the angle that one facet takes of a circle of radius r on its lane: to the next facet, or to the land between. */
export function facetHalfAngle({ count, depthMm }: FacetDesign, r: number): number {
  return Math.min(Math.PI / count, Math.acos(Math.max(-1, 1 - depthMm / r)));
}

/** The area that facets leave of a disc of radius r: a polygon with its corners rounded off where they would stand out. */
export function facetedDiscArea(facets: FacetDesign, r: number): number {
  const half = facetHalfAngle(facets, r);
  const apothem = r - facets.depthMm;
  return facets.count * (apothem * apothem * Math.tan(half) + r * r * (Math.PI / facets.count - half));
}

/** Parts in which the edge between two facets is followed over the lane's width. */
const EDGE_PARTS = 12;

/**
 * Edges between neighbouring facets over a lane, as points (θ, z) with θ in −π…π: where both planes lie equally far
 * out. Facets that leave lands between them have none.
 */
export function facetEdges(lane: Lane): [theta: number, z: number][][] {
  const { facets } = lane;
  if (!facets) return [];
  const crown = radiusAt(lane.outer(0), crownZ(lane));
  if (facetHalfAngle(facets, crown) < Math.PI / facets.count) return [];
  const cuts = facetCuts(lane, facets);
  return cuts.map((a, k) => {
    const b = cuts[(k + 1) % cuts.length];
    const middle = a.theta + Math.PI / facets.count;
    const turned = middle > Math.PI ? middle - 2 * Math.PI : middle;
    const [low, high] = [lane.low.curve.z(middle), lane.high.curve.z(middle)];
    return Array.from({ length: EDGE_PARTS + 1 }, (_, i): [number, number] => {
      const z = low + ((high - low) * i) / EDGE_PARTS;
      // both planes give r at θ = middle ± turn; equal where r·cos is in the ratio of what each leaves at z
      const [ra, rb] = [a, b].map(({ n, d }) => (d - n[2] * z) / Math.hypot(n[0], n[1]));
      const half = Math.PI / facets.count;
      const turn = Math.atan((rb - ra) / ((ra + rb) * Math.tan(half)));
      return [turned + Math.max(-half, Math.min(half, turn)), z];
    });
  });
}

export function facetProblems(lane: Lane, design: ShapeDesign): Problem[] {
  const { facets, hammer, texture } = lane;
  if (!facets) return [];
  const path = `${pathOf(lane)}.facets`;
  const { count, depthMm, slantRad } = facets;
  const found: Problem[] = [];
  const fits = Number.isInteger(count) && count >= 6 && depthMm > 0 && slantRad >= 0 && slantRad < 0.7;
  if (!fits || (slantRad > 0 && count % 2 === 1)) {
    const expected = 'at least 6 facets, an even number if they slant, deeper than 0';
    const received = `${count}, ${depthMm} mm deep`;
    return [problem('facet-size', path, expected, received, 'Facets that lean by turns come in twos.')];
  }
  if (hammer || texture) {
    const advice = 'Choose another lane for one of them, or leave the facets out.';
    found.push(problem('facets-and-relief', path, 'facets or relief', 'both', advice));
  }
  if (!isUniform(design) || lane.low.shoulder || lane.high.shoulder) {
    const received = design.outline
      ? 'a band with an outline of its own'
      : design.taper
        ? 'a band that tapers'
        : design.flat
          ? 'a band with a flat on top'
          : 'a stepped edge beside the facets';
    const expected = 'a lane of one height all round, without a shoulder';
    const advice = 'Facet a lane between seams, or leave the outline, taper, flat or step out.';
    return [problem('facets-uneven', path, expected, received, advice)];
  }
  const { left, z } = thinnestUnderFacets(lane, facets);
  if (left < LEAST_LEFT_MM) {
    const expected = `at least ${mm(LEAST_LEFT_MM)} of metal under the facets of lane '${lane.name}'`;
    const received = `${mm(left)} at ${mm(z + design.widthMm / 2)} from the first edge`;
    found.push(
      problem('facets-too-deep', path, expected, received, 'Use more or shallower facets, or less slant.'),
    );
  }
  found.push(...channelProblems(lane, facets, path));
  const row = design.rows.find((r) => r.lane === lane.name);
  if (row) {
    const received = `row '${row.name}' on lane '${lane.name}'`;
    const advice = 'Seats and claws are measured from a smooth surface: facet another lane.';
    found.push(problem('facets-under-stones', path, 'a lane without stones', received, advice));
  }
  return found;
}

/** Facets that would cut into the channel of an inlay which the lane carries. */
function channelProblems(lane: Lane, facets: FacetDesign, path: string): Problem[] {
  const found: Problem[] = [];
  for (const { shelf } of [lane.low, lane.high]) {
    const zs = shelf ? [0, ...shelf.curve.extremes].map(shelf.curve.z) : [];
    const deepest = zs.find(
      (at) => facetRadius(lane, facets, at) < radiusAt(shelf!.floor(0), at) + CHANNEL_MM,
    );
    if (deepest === undefined) continue;
    const expected = `facets of lane '${lane.name}' above the channel of the inlay that it carries`;
    const received = `${mm(radiusAt(shelf!.floor(0), deepest) - facetRadius(lane, facets, deepest))} below its floor`;
    found.push(
      problem(
        'facets-too-deep',
        path,
        expected,
        received,
        'Use shallower facets or let the inlay in deeper.',
      ),
    );
  }
  return found;
}
