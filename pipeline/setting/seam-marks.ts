import { type Lane, type LaneBound, laneMiddle } from '../band/lane.ts';
import { mm, pathOf, problem } from '../band/problem-words.ts';
import { midRadius } from '../band/profile.ts';
import { narrowestOuter } from '../band/surface-field.ts';
import type { ShapeDesign } from '../plan/design.ts';
import { isRefused, type Problem, type Result } from '../problem.ts';
import { type Groove, planGroove } from './groove.ts';
import { beadWidth, type Milgrain, planMilgrain } from './milgrain.ts';

/** What runs along seams and edges, worked out. */
export interface SeamMarkPlans {
  grooves: Groove[];
  milgrains: Milgrain[];
}

/** Least of a lane's outside that is left between the marks on its two sides, mm. */
const LEAST_LEFT_MM = 0.2;

/** Grooves and beads along seams and edges, each for itself, and what forbids them. */
export function planSeamMarks(design: ShapeDesign, lanes: Lane[]): SeamMarkPlans & { problems: Problem[] } {
  const problems: Problem[] = [];
  const keep = keeper(problems);
  const grooves: Groove[] = [];
  const milgrains: Milgrain[] = [];
  design.seams.forEach(({ marks }, i) => {
    if (!marks) return;
    const { seam, groove, milgrain } = marks;
    const [low, high] = [lanes[i], lanes[i + 1]];
    if (groove) keep(planGroove(groove, `seams.${seam}.groove`, seam, low, high), grooves);
    if (!milgrain) return;
    const carrier = beadLane(milgrain.lane, low, high);
    const bound = carrier === low ? low.high : high.low;
    const cleared = (groove?.widthMm ?? 0) / 2;
    keep(planMilgrain(milgrain, `seams.${seam}.milgrain`, seam, carrier, bound, cleared), milgrains);
  });
  if (design.edgeMilgrain) {
    for (const [lane, bound] of edgesOf(lanes))
      keep(planMilgrain(design.edgeMilgrain, 'edges.milgrain', 'edge', lane, bound, 0), milgrains);
  }
  return { grooves, milgrains, problems };
}

/** Puts what was planned into a list, or its problems to the others. */
export function keeper(problems: Problem[]) {
  return <T extends object>(planned: Result<T>, list: T[]) => {
    if (isRefused(planned)) problems.push(...planned.problems);
    else list.push(planned);
  };
}

function beadLane(name: string | undefined, low: Lane, high: Lane): Lane {
  if (name !== undefined) return name === high.name ? high : low;
  return midRadius(high.outer) > midRadius(low.outer) ? high : low;
}

export function edgesOf(lanes: Lane[]): [Lane, LaneBound][] {
  return [
    [lanes[0], lanes[0].low],
    [lanes[lanes.length - 1], lanes[lanes.length - 1].high],
  ];
}

/** Width beside a bound, square to it, that marks or the softening take. */
export function taken(lane: Lane, bound: LaneBound, { grooves, milgrains }: SeamMarkPlans): number {
  const groove = grooves.find((g) =>
    g.lanes.some((l) => l.index === lane.index && sideOf(g, l) === bound.side),
  );
  const half = groove ? groove.design.widthMm / 2 : 0;
  const beads = milgrains.find((m) => m.lane.index === lane.index && Math.sign(beadSide(m)) === bound.side);
  return Math.max(bound.outerSoften, half + (beads ? beadWidth(beads.design) : 0));
}

const sideOf = ({ lanes: [low] }: Groove, lane: Lane): 1 | -1 => (lane.index === low.index ? 1 : -1);

/** Which side of its lane a line of beads runs along: the nearer one. */
function beadSide({ lane, frames: [{ origin }] }: Milgrain): number {
  const theta = Math.atan2(origin[0], origin[1]);
  return origin[2] - laneMiddle(lane, theta).z;
}

/** Lanes on which the marks of both sides leave too little between them. */
export function crowded(lanes: Lane[], marks: SeamMarkPlans): Problem[] {
  return lanes.flatMap((lane) => {
    const [low, high] = [lane.low, lane.high].map((bound) => {
      const width = taken(lane, bound, marks);
      return width > bound.outerSoften ? width - bound.outerSoften : 0;
    });
    if (low + high === 0) return [];
    const narrow = narrowestOuter(lane);
    const left = narrow.width - low - high;
    if (left >= LEAST_LEFT_MM) return [];
    const expected = `at least ${mm(LEAST_LEFT_MM)} of lane '${lane.name}' between the grooves and beads on its sides`;
    return [
      problem(
        'marks-too-wide',
        pathOf(lane),
        expected,
        mm(left),
        'Use smaller beads, narrower grooves or a wider lane.',
      ),
    ];
  });
}
