import { type ShapeDesign, sectionKind } from '../plan/design.ts';
import { isRefused, type Problem, type Result } from '../problem.ts';
import { facetProblems } from './facets.ts';
import { flatProblems } from './flat-problems.ts';
import { gapProblems } from './gap-problems.ts';
import { bedProblems, inlayProblems } from './inlay-problems.ts';
import { type Lane, type LaneBound, lanesOf, surveyAngles, wallFoot, wallTop } from './lane.ts';
import { boreEnd, outerEnd, shoulderProfile } from './lane-section.ts';
import { linerProblems } from './liner.ts';
import { isUniform } from './outline.ts';
import { outlineProblems } from './outline-problems.ts';
import { degrees, LEAST_WALL_MM, mm, pathOf, problem } from './problem-words.ts';
import { radiusAt, tangentCircle, tangentZ } from './profile.ts';
import { finenessProblems } from './relief-fineness.ts';
import { hammerProblems, textureProblems } from './relief-problems.ts';
import { seamFaults } from './seam.ts';
import { faceProblems, sectionProblems } from './section-problems.ts';
import { strandsOrProblems } from './strand.ts';

/** Least width that must be left of a lane between its softenings, mm (common practice: 0.2 mm survives polishing). */
export const LEAST_LEFT_MM = 0.2;

/** The lanes of a design, or everything (rows aside) that keeps the band from being a solid. */
export function lanesOrProblems(design: ShapeDesign): Result<Lane[]> {
  const plain = [...dimensionProblems(design), ...seamProblems(design), ...bedProblems(design)];
  if (plain.length > 0) return { problems: plain };
  if (design.strands) {
    const liner = linerProblems(design);
    if (liner.length > 0) return { problems: liner };
    const strands = strandsOrProblems(design, design.strands);
    return isRefused(strands) ? strands : lanesOf(design);
  }
  const section = faceProblems(design);
  if (section.length > 0) return { problems: section };
  const lanes = lanesOf(design);
  const crossing = crossingProblem(lanes, design);
  // what is wrong with seams makes many things wrong with lanes
  const astray = [...leavingProblems(lanes, design), ...(crossing ? [crossing] : [])];
  const problems = astray.length > 0 ? astray : lanes.flatMap((lane) => laneProblems(lane, design));
  if (problems.length === 0) problems.push(...gapProblems(design, lanes), ...finenessProblems(design, lanes));
  return problems.length > 0 ? { problems } : lanes;
}

function laneProblems(lane: Lane, design: ShapeDesign): Problem[] {
  return [
    ...radiusProblems(lane),
    ...narrowProblems(lane, design),
    ...shallowProblems(lane, design),
    ...hammerProblems(lane, design),
    ...textureProblems(lane, design),
    ...facetProblems(lane, design),
    ...inlayProblems(lane, design),
  ];
}

function dimensionProblems(design: ShapeDesign): Problem[] {
  const { circumferenceMm, widthMm, thicknessMm, section, chordToleranceMm } = design;
  const found: Problem[] = [];
  const positive = { circumferenceMm, widthMm, thicknessMm, chordToleranceMm };
  for (const [path, value] of Object.entries(positive)) {
    if (value > 0 && Number.isFinite(value)) continue;
    found.push(
      problem('not-positive', path, 'a length above zero', `${value} mm`, 'Give a positive length.'),
    );
  }
  if (found.length > 0) return found;
  const domeMm = Math.max(section.domeMm, section.farDomeMm ?? 0);
  const dome = sectionKind(section.name).dome < 0 ? -domeMm : domeMm;
  const thinnest = thicknessMm + Math.min(0, design.flat?.riseMm ?? 0);
  if (thinnest - dome - section.comfortMm < 0) {
    const expected = `dome and comfort together at most the thickness, ${mm(thinnest)}`;
    const received = mm(dome + section.comfortMm);
    found.push(problem('edge-too-thin', 'section', expected, received, 'Make the band thicker or flatter.'));
  }
  const radii = [
    section.edgeMm,
    section.farEdgeMm ?? 0,
    section.boreEdgeMm,
    section.step?.softenMm ?? 0,
    section.step?.footMm ?? 0,
    ...design.lanes.flatMap((l) => [l.softenMm, l.recessMm]),
  ];
  if (radii.some((value) => !(value >= 0))) {
    const received = `${Math.min(...radii)} mm`;
    found.push(
      problem('negative-radius', 'lanes', 'softenings and recesses from 0 up', received, 'Use 0 for none.'),
    );
  }
  const flat = flatProblems(design);
  if (flat.length > 0) return [...found, ...flat];
  const outline = outlineProblems(design);
  return [...found, ...(outline.length > 0 ? outline : sectionProblems(design))];
}

function seamProblems(design: ShapeDesign): Problem[] {
  const found: Problem[] = [];
  if (design.lanes.length !== design.seams.length + 1) {
    const expected = `${design.seams.length + 1} lanes for ${design.seams.length} seams`;
    const received = `${design.lanes.length} lanes`;
    found.push(
      problem('lane-count', 'lanes', expected, received, 'Name one lane more than there are seams.'),
    );
  }
  design.seams.forEach((seam, i) => {
    for (const { code, measure, expected, received, advice } of seamFaults(seam))
      found.push(problem(code, `${seamPathOf(design, i)}.${measure}`, expected, received, advice));
  });
  return found;
}

/** Seams that touch or cross: the one place where they overlap most says it all. */
function crossingProblem(lanes: Lane[], design: ShapeDesign): Problem | undefined {
  let worst = { width: 1e-9, theta: 0, lane: lanes[0] };
  for (const lane of lanes.filter(({ low, high }) => low.mate && high.mate)) {
    for (const theta of surveyAngles(lane)) {
      const width = lane.high.curve.z(theta) - lane.low.curve.z(theta);
      if (width < worst.width) worst = { width, theta, lane };
    }
  }
  if (worst.width > 0) return undefined;
  const { index, name } = worst.lane;
  const [before, beyond] = [index - 1, index].map((i) => `seam '${design.seams[i].name ?? i + 1}'`);
  return problem(
    'seams-cross',
    seamPathOf(design, index),
    `${beyond} beyond ${before} all round, with lane '${name}' between them`,
    `${mm(-worst.width)} on its other side at θ = ${degrees(worst.theta)}`,
    'Move the seams apart or lower their swing.',
  );
}

/** Seams that run over an edge of the band, each told once, where it is farthest beyond. */
function leavingProblems(lanes: Lane[], design: ShapeDesign): Problem[] {
  const edges = [
    { lane: lanes[0], seam: 0, edge: 'first' },
    { lane: lanes[lanes.length - 1], seam: design.seams.length - 1, edge: 'second' },
  ];
  if (design.seams.length === 0) return [];
  return edges.flatMap(({ lane, seam, edge }) => {
    let worst = { width: 1e-9, theta: 0 };
    for (const theta of surveyAngles(lane)) {
      const width = lane.high.curve.z(theta) - lane.low.curve.z(theta);
      if (width < worst.width) worst = { width, theta };
    }
    if (worst.width > 0) return [];
    const name = design.seams[seam].name ?? seam + 1;
    return [
      problem(
        'seam-leaves-band',
        seamPathOf(design, seam),
        `seam '${name}' on the band all round, with lane '${lane.name}' between it and the ${edge} edge`,
        `${mm(-worst.width)} beyond the ${edge} edge at θ = ${degrees(worst.theta)}`,
        'Move the seam inwards, lower its swing, or widen the band.',
      ),
    ];
  });
}

/** Field path of a seam, as a template has it. */
function seamPathOf({ seams }: ShapeDesign, index: number): string {
  return `seams.${seams[index].name ?? index + 1}`;
}

/** A fillet must fit inside the curve it touches, and inside every corner of the section that its seam runs over. */
function radiusProblems(lane: Lane): Problem[] {
  const found: Problem[] = [];
  for (const bound of [lane.low, lane.high]) {
    const { boreSoften } = boreEnd(bound);
    const tightest = Math.max(
      // the bore is one arc
      boreSoften > 0 ? lane.bore(0).pieces[0].curvature : 0,
      outerCurvature(lane, bound),
    );
    const soften = Math.max(bound.outerSoften, boreSoften);
    if (tightest * soften < LARGEST_FILLET) continue;
    const expected = `softening of at most ${mm(LARGEST_FILLET / tightest)}, within the section's own radius of ${mm(1 / tightest)}`;
    const advice = 'Soften less, flatten the section or round its corners more.';
    found.push(problem('softening-too-round', pathOf(lane), expected, mm(soften), advice));
  }
  return found;
}

/** Largest radius of a fillet as a share of the radius it must fit into. */
const LARGEST_FILLET = 0.95;

/**
 * Greatest curvature that a lane's outer fillet comes to on its way round. One too large for a corner never touches it but
 * springs from the flat before it to the flat behind it: then the corner counts.
 */
function outerCurvature(lane: Lane, bound: LaneBound): number {
  if (bound.outerSoften === 0) return 0;
  const { pieces } = lane.outer(0);
  if (pieces.length === 1) return pieces[0].curvature;
  let greatest = 0;
  const passed = new Map<number, number>();
  for (const theta of surveyAngles(lane)) {
    const outer = lane.outer(theta);
    const touch = tangentCircle(
      outer,
      bound.curve.z(theta) - bound.side * bound.outerSoften,
      bound.outerSoften,
    );
    greatest = Math.max(greatest, touch.curvature);
    outer.pieces.forEach((piece, i) => {
      if (touch.z >= piece.fromZ && touch.z <= piece.toZ) return;
      const side = touch.z < piece.fromZ ? 1 : 2;
      passed.set(i, (passed.get(i) ?? 0) | side);
      if (passed.get(i) === 3) greatest = Math.max(greatest, piece.curvature);
    });
  }
  return greatest;
}

/** Width left between the softenings, outside and at the bore, at its worst angle. */
function narrowProblems(lane: Lane, design: ShapeDesign): Problem[] {
  let worst = { theta: 0, left: Infinity, width: 0 };
  for (const theta of surveyAngles(lane)) {
    const left = widthLeft(lane, theta);
    if (left < worst.left) {
      worst = { theta, left, width: lane.high.curve.z(theta) - lane.low.curve.z(theta) };
    }
  }
  if (worst.left >= LEAST_LEFT_MM) return [];
  const softening = worst.width - worst.left;
  const short = LEAST_LEFT_MM - worst.left;
  const atEdge = !lane.low.mate || !lane.high.mate;
  const wider = design.widthMm + (lane.low.mate && lane.high.mate ? 1 : 2) * short;
  const advice = atEdge
    ? `At this place the band would have to be about ${mm(wider)} wide; or move the seam, lower its amplitude or soften less.`
    : 'Move the seams apart, lower their amplitude or soften less.';
  return [
    problem(
      'lane-too-thin',
      pathOf(lane),
      `at least ${mm(LEAST_LEFT_MM)} of lane '${lane.name}' left beside its softening`,
      `${mm(worst.left)} at θ = ${degrees(worst.theta)} (lane ${mm(worst.width)}, softening ${mm(softening)})`,
      advice,
    ),
  ];
}

function widthLeft(lane: Lane, theta: number): number {
  const [outer, bore] = [lane.outer(theta), lane.bore(theta)];
  const inside = (bound: LaneBound) => {
    const { curve, boreSoften } = boreEnd(bound);
    return tangentZ(bore, curve.z(theta) - bound.side * boreSoften, boreSoften);
  };
  const { low, high } = lane;
  return Math.min(outerEnd(outer, high, theta) - outerEnd(outer, low, theta), inside(high) - inside(low));
}

/** Height of a wall between its softenings; of a stepped edge, of the wall under the shoulder, which a recess lowers too. */
function wallLeft(lane: Lane, bound: LaneBound, theta: number): number {
  const { curve, side, shoulder, shelf, outerSoften, boreSoften } = bound;
  const z = curve.z(theta);
  const [outer, bore] = [lane.outer(theta), lane.bore(theta)];
  if (shoulder) {
    const edge = shoulder.edge.z(theta);
    const level = radiusAt(shoulderProfile(bound, shoulder, outer, theta), edge);
    return level - shoulder.edgeSoften - wallFoot(bore, boreSoften, side, edge);
  }
  const foot = shelf ? radiusAt(shelf.floor(theta), z) : wallFoot(bore, boreSoften, side, z);
  return wallTop(outer, outerSoften, side, z) - foot;
}

/** Height left of each wall between its softenings. A sharp edge may run out to nothing, as a D-section's does. */
function shallowProblems(lane: Lane, design: ShapeDesign): Problem[] {
  const found: Problem[] = [];
  for (const bound of [lane.low, lane.high]) {
    let worst = { theta: 0, left: Infinity };
    for (const theta of bound.mate || !isUniform(design) ? surveyAngles(lane) : [0]) {
      const left = wallLeft(lane, bound, theta);
      if (left < worst.left) worst = { theta, left };
    }
    const sharp = !bound.mate && !bound.shoulder && bound.outerSoften === 0 && bound.boreSoften === 0;
    const least = sharp ? -1e-6 : LEAST_WALL_MM;
    if (worst.left >= least) continue;
    const atAngle = `at θ = ${degrees(worst.theta)}`;
    const where = bound.mate ? atAngle : `at the edge of the band${!isUniform(design) ? ` ${atAngle}` : ''}`;
    found.push(
      problem(
        'lane-too-shallow',
        pathOf(lane),
        `at least ${mm(Math.max(0, least))} of wall between softening and ${lane.inlaid ? 'floor' : 'bore'} on lane '${lane.name}'`,
        `${mm(worst.left)} ${where}`,
        'Make the band thicker, its dome or recess lower, or soften less.',
      ),
    );
  }
  return found;
}
