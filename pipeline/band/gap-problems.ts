import type { ShapeDesign } from '../plan/design.ts';
import type { GapDesign } from '../plan/gap-design.ts';
import type { Problem } from '../problem.ts';
import { distanceToGap, type GapPoint, gapOutline, gapRadius, gapRing } from './gap-outline.ts';
import type { Lane } from './lane.ts';
import { edgeCurve } from './outline.ts';
import { degrees, mm, problem } from './problem-words.ts';
import { radiusAt } from './profile.ts';

/** Least metal between a gap's rim and an edge of the band or another gap, mm; bench checks ask for more. */
const LEAST_STRAND_MM = 0.3;
/** Least wall between the rims at the outside and at the bore, mm. */
const LEAST_WALL_MM = 0.1;
/** Least angle of a corner's radius over that of its rim, mm: the rim runs round the corner too. */
const ROUND_OVER_SOFTEN_MM = 0.05;
/** Widest angle that a band may stand open, corners with it. */
const WIDEST = (150 * Math.PI) / 180;

/** What keeps a band from being parted as its gaps say. @param lanes of a band that is sound without them */
export function gapProblems(design: ShapeDesign, lanes: Lane[]): Problem[] {
  const { gaps = [] } = design;
  const plain = gaps.flatMap((gap) => measureProblems(design, gap));
  if (plain.length > 0) return plain;
  return [
    ...gaps.flatMap((gap) => (gap.kind === 'split' ? strandProblems(design, gap) : [])),
    ...gaps.flatMap((gap) => rimProblems(design, gap, lanes)),
    ...meetingProblems(design, gaps),
  ];
}

const pathOfGap = ({ name }: GapDesign) => `gaps.${name}`;

function measureProblems(design: ShapeDesign, gap: GapDesign): Problem[] {
  const path = pathOfGap(gap);
  const radius = gapRadius(design);
  const { widthMm, softenMm } = gap;
  if (gap.kind === 'split') {
    const most = gap.spanRad * radius;
    if (widthMm < most / 2) return [];
    const expected = `an eye longer than twice its width, ${mm(2 * widthMm)}`;
    return [problem('gap-short', `${path}.span`, expected, mm(most), 'Give it a wider span or less width.')];
  }
  const { roundMm } = gap;
  if (roundMm < softenMm + ROUND_OVER_SOFTEN_MM) {
    const expected = `corners rounded by at least ${mm(softenMm + ROUND_OVER_SOFTEN_MM)}, more than the rims`;
    return [problem('gap-round', `${path}.round`, expected, mm(roundMm), 'Round them more, or soften less.')];
  }
  const reach = gap.kind === 'open' ? widthMm + 2 * roundMm : gap.spanRad * radius + widthMm + 2 * roundMm;
  if (reach > WIDEST * radius) {
    const expected = `a gap that takes up at most ${mm(WIDEST * radius)} with its corners`;
    return [problem('gap-wide', path, expected, mm(reach), 'Make it narrower or shorter.')];
  }
  const { at, theta } = narrowest(design, gap.atRad, reach / radius);
  const room = gap.kind === 'open' ? at / 2 : (at - widthMm) / 4;
  if (roundMm > room - 1e-9) {
    const ends = gap.kind === 'open' ? 'ends' : 'ends beside each other';
    const expected = `corners rounded by less than ${mm(Math.max(0, room))}, half of what the ${ends} are wide`;
    const received = `${mm(roundMm)} at θ = ${degrees(theta)}`;
    return [problem('gap-round', `${path}.round`, expected, received, 'Round them less, or widen the band.')];
  }
  if (gap.kind === 'bypass' && gap.spanRad * radius < 2 * (roundMm + widthMm)) {
    const expected = `a span of at least ${degrees((2 * (roundMm + widthMm)) / radius)}, for both turns`;
    return [problem('gap-short', `${path}.span`, expected, degrees(gap.spanRad), 'Give it a wider span.')];
  }
  return [];
}

/** Narrowest place of the band within an angle. */
function narrowest(design: ShapeDesign, atRad: number, angle: number): { at: number; theta: number } {
  const [low, high] = [edgeCurve(design, -1), edgeCurve(design, 1)];
  const all = Array.from({ length: 61 }, (_, i) => atRad + angle * (i / 60 - 0.5)).map((theta) => ({
    at: high.z(theta) - low.z(theta),
    theta,
  }));
  return all.reduce((a, b) => (b.at < a.at ? b : a));
}

/** Least metal between an eye, or ends that pass each other, and either edge; mm along the finger. */
export function leastStrand(design: ShapeDesign, gap: GapDesign): { at: number; theta: number } {
  const radius = gapRadius(design);
  const [low, high] = [edgeCurve(design, -1), edgeCurve(design, 1)];
  // the turns of ends that pass each other run out over the edges
  const within = gap.kind === 'bypass' ? (gap.spanRad * radius) / 2 - gap.roundMm - gap.widthMm : Infinity;
  const all = gapRing(gapOutline(design, gap))
    .filter(([x]) => Math.abs(x) < within)
    .map(([x, z]) => {
      const theta = gap.atRad + x / radius;
      return { at: Math.min(high.z(theta) - z, z - low.z(theta)), theta };
    });
  return all.reduce((a, b) => (b.at < a.at ? b : a));
}

function strandProblems(design: ShapeDesign, gap: GapDesign): Problem[] {
  const { at, theta } = leastStrand(design, gap);
  const least = LEAST_STRAND_MM + gap.softenMm;
  if (at >= least) return [];
  const expected = `at least ${mm(least)} between the gap and the edges of the band, its rim with it`;
  const received = `${mm(at)} at θ = ${degrees(theta)}`;
  return [
    problem('gap-at-edge', pathOfGap(gap), expected, received, 'Make the gap narrower or the band wider.'),
  ];
}

/** Rims at the outside and at the bore that would run into each other. */
function rimProblems(design: ShapeDesign, gap: GapDesign, lanes: Lane[]): Problem[] {
  const radius = gapRadius(design);
  const [low, high] = [edgeCurve(design, -1), edgeCurve(design, 1)];
  const walls = gapRing(gapOutline(design, gap)).flatMap(([x, z]) => {
    const theta = gap.atRad + x / radius;
    const within = Math.min(high.z(theta), Math.max(low.z(theta), z));
    return lanes
      .filter((lane) => lane.low.curve.z(theta) <= within && within <= lane.high.curve.z(theta))
      .map((lane) => {
        const wall = radiusAt(lane.outer(theta), within) - radiusAt(lane.bore(theta), within);
        return { wall, theta, rims: (lane.inlaid ? 1 : 2) * gap.softenMm };
      });
  });
  const worst = walls.reduce((a, b) => (b.wall - b.rims < a.wall - a.rims ? b : a));
  if (worst.wall - worst.rims >= LEAST_WALL_MM) return [];
  const most = ((worst.wall - LEAST_WALL_MM) * gap.softenMm) / worst.rims;
  const expected = `rims softened by at most ${mm(Math.max(0, most))}, as thin as the band is at θ = ${degrees(worst.theta)}`;
  return [
    problem(
      'gap-soften',
      `${pathOfGap(gap)}.soften`,
      expected,
      mm(gap.softenMm),
      'Soften less or thicken the band.',
    ),
  ];
}

function meetingProblems(design: ShapeDesign, gaps: readonly GapDesign[]): Problem[] {
  const parting = gaps.filter(({ kind }) => kind !== 'split');
  if (parting.length > 1) {
    const names = parting.map(({ name }) => `'${name}'`).join(', ');
    const expected = 'one gap that opens the band, lest it fall apart';
    return [problem('gap-twice', pathOfGap(parting[1]), expected, names, 'Leave the others out.')];
  }
  const radius = gapRadius(design);
  const rings = gaps.map((gap) => gapRing(gapOutline(design, gap)));
  return gaps.flatMap((gap, i) =>
    gaps.slice(0, i).flatMap((other, k) => {
      const turn = gap.atRad - other.atRad;
      const aside = radius * (turn - 2 * Math.PI * Math.round(turn / (2 * Math.PI)));
      const least = LEAST_STRAND_MM + gap.softenMm + other.softenMm;
      const nearest = Math.min(
        ...rings[i].map(([x, z]) => distanceToGap(rings[k], [x + aside, z] satisfies GapPoint)),
        ...rings[k].map(([x, z]) => distanceToGap(rings[i], [x - aside, z] satisfies GapPoint)),
      );
      if (nearest >= least) return [];
      const expected = `at least ${mm(least)} between it and gap '${other.name}', rims with it`;
      return [problem('gaps-meet', pathOfGap(gap), expected, mm(nearest), 'Move the gaps apart.')];
    }),
  );
}
