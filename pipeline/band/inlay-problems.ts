import type { ShapeDesign } from '../plan/design.ts';
import type { Problem } from '../problem.ts';
import { type Lane, type LaneBound, surveyAngles, wallFoot, wallTop } from './lane.ts';
import { boreSurface } from './outside.ts';
import { degrees, mm, pathOf, problem } from './problem-words.ts';
import { radiusAt } from './profile.ts';

/** Thinnest inlay and thinnest floor beneath one that are still solid metal, mm. Bench checks ask for more. */
const LEAST_INLAY_MM = 0.1;
const LEAST_FLOOR_MM = 0.1;

/** Every inlay lies in a lane beside it that goes through to the bore. */
export function bedProblems({ lanes }: ShapeDesign): Problem[] {
  return lanes.flatMap(({ name, inlay }, index) => {
    if (!inlay) return [];
    const path = `${pathOf({ name })}.inlay`;
    const beds = [index - 1, index + 1].flatMap((i) => (lanes[i] && !lanes[i].inlay ? [lanes[i].name] : []));
    if (beds.length === 0) {
      const received = 'no neighbour that goes through to the bore';
      const advice = 'An inlay needs a lane beside it whose metal runs on beneath.';
      return [problem('inlay-bed', path, `a bed for lane '${name}'`, received, advice)];
    }
    if (beds.includes(inlay.bed)) return [];
    const expected = `a lane beside '${name}' that goes through to the bore: ${beds.join(' or ')}`;
    return [problem('inlay-bed', `${path}.bed`, expected, `'${inlay.bed}'`, 'Name that lane as the bed.')];
  });
}

/** Metal of the inlay, and of its bed beneath it. */
export function inlayProblems(lane: Lane, design: ShapeDesign): Problem[] {
  const { inlay, recessMm } = design.lanes[lane.index];
  if (!inlay) return [];
  const path = `${pathOf(lane)}.inlay.depth`;
  const found: Problem[] = [];
  const thickness = inlay.depthMm - recessMm;
  if (!(thickness >= LEAST_INLAY_MM)) {
    const expected = `a floor at least ${mm(LEAST_INLAY_MM)} below the surface of lane '${lane.name}'`;
    const received = `${mm(thickness)}: ${mm(inlay.depthMm)} deep, recessed by ${mm(recessMm)}`;
    found.push(problem('inlay-too-shallow', path, expected, received, 'Let it in deeper or recess it less.'));
  }
  const floor = thinnestFloor(lane, design);
  if (!(floor.left >= LEAST_FLOOR_MM)) {
    const expected = `at least ${mm(LEAST_FLOOR_MM)} of metal beneath inlay '${lane.name}'`;
    const received = `${mm(floor.left)} at θ = ${degrees(floor.theta)}`;
    found.push(
      problem('inlay-too-deep', path, expected, received, 'Make the band thicker or the inlay shallower.'),
    );
  }
  for (const [i, bound] of [
    [lane.index - 1, lane.low],
    [lane.index + 1, lane.high],
  ] as const) {
    if (!bound.mate || design.lanes[i].inlay) continue;
    const held = standsFree(lane, bound);
    if (held >= LEAST_INLAY_MM) continue;
    const expected = `lane '${design.lanes[i].name}' at least ${mm(LEAST_INLAY_MM)} above the floor of inlay '${lane.name}'`;
    const advice = 'Let the inlay in deeper, or recess or soften the lane beside it less.';
    found.push(problem('inlay-stands-free', pathOf(design.lanes[i]), expected, mm(held), advice));
  }
  if (lane.low.shoulder || lane.high.shoulder) {
    const expected = `a lane between seams, or at an edge without a step`;
    const advice = 'Let it in beside the step, or leave the step out on this side.';
    found.push(
      problem('inlay-on-step', pathOf(lane), expected, `inlay '${lane.name}' at a stepped edge`, advice),
    );
  }
  const row = design.rows.find((r) => r.lane === lane.name);
  if (row) {
    const received = `row '${row.name}' on inlay '${lane.name}'`;
    const advice =
      'Seats would go through into the bed: set the stones in a lane that goes through to the bore.';
    found.push(problem('inlay-under-stones', pathOf(lane), 'a lane without stones', received, advice));
  }
  return found;
}

/** Least height of the wall that holds an inlay on one side, above its floor. */
function standsFree(lane: Lane, { mate, side, curve }: LaneBound): number {
  const heights = surveyAngles(lane).map((theta) => {
    const z = curve.z(theta);
    const top = wallTop(mate!.outer(theta), mate!.outerSoften, side === 1 ? -1 : 1, z);
    return top - radiusAt(lane.bore(theta), z);
  });
  return Math.min(...heights);
}

/** Least radial metal between an inlay's floor and the bore, at its sides, mid-width, or a softened bore edge. */
export function thinnestFloor(lane: Lane, design: ShapeDesign): { left: number; theta: number } {
  const bore = boreSurface(design)(0);
  const { boreEdgeMm } = design.section;
  let worst = { left: Number.POSITIVE_INFINITY, theta: 0 };
  const foot = (bound: LaneBound, z: number) =>
    bound.mate ? radiusAt(bore, z) : wallFoot(bore, boreEdgeMm, bound.side, z);
  for (const theta of surveyAngles(lane)) {
    for (const bound of [lane.low, lane.high]) {
      const z = bound.curve.z(theta);
      const left = radiusAt(lane.bore(theta), z) - foot(bound, z);
      if (left < worst.left) worst = { left, theta };
    }
  }
  return worst;
}
