import type { MarkFacts } from '../band/built-shape.ts';
import type { Lane } from '../band/lane.ts';
import { mm, pathOf, problem } from '../band/problem-words.ts';
import type { ShapeDesign } from '../plan/design.ts';
import { type Problem, ProblemError } from '../problem.ts';
import { planInside, planOutside } from './engraved-lines.ts';
import { type Engraving, headsOf } from './engraving.ts';
import { beadsInSeats } from './milgrain.ts';
import type { WholeRow } from './row-plan.ts';
import { crowded, keeper, planSeamMarks, type SeamMarkPlans } from './seam-marks.ts';
import type { SolidKernel } from './solid-kernel.ts';

/** Everything that is cut along seams and edges and into surfaces, worked out. */
export interface Marks extends SeamMarkPlans {
  engravings: Engraving[];
}

/** Whether a design has any marks, so that the boolean engine is needed. */
export function hasMarks({ seams, engraving, edgeMilgrain }: ShapeDesign): boolean {
  return edgeMilgrain !== undefined || engraving !== undefined || seams.some(({ marks }) => marks);
}

/** Metal that stays between a groove and a seat or a claw, mm. */
const BESIDE_SEAT_MM = 0.15;

/** @throws ProblemError with every mark that cannot be made */
export function planMarks(kernel: SolidKernel, design: ShapeDesign, lanes: Lane[], rows: WholeRow[]): Marks {
  const { problems, ...along } = planSeamMarks(design, lanes);
  const marks: Marks = { ...along, engravings: [] };
  problems.push(...onFacets(marks, design, lanes));
  if (problems.length === 0) {
    problems.push(...crowded(lanes, marks), ...groovesInSeats(marks, rows));
    for (const m of marks.milgrains)
      problems.push(
        ...beadsInSeats(m, rows, m.along === 'edge' ? 'edges.milgrain' : `seams.${m.along}.milgrain`),
      );
  }
  const { inside, outside } = design.engraving ?? {};
  const fits = problems.length === 0;
  const keep = keeper(problems);
  if (inside && fits) keep(planInside(kernel, design, inside, lanes, rows), marks.engravings);
  const [bore] = marks.engravings;
  if (outside && fits) keep(planOutside(kernel, design, outside, lanes, rows, marks, bore), marks.engravings);
  if (problems.length > 0) throw new ProblemError(problems);
  return marks;
}

/** Grooves, beads and letters want the swept surface: facets are cut below it. */
function onFacets({ grooves, milgrains }: Marks, design: ShapeDesign, lanes: Lane[]): Problem[] {
  const outside = design.engraving?.outside?.lane;
  return lanes.flatMap((lane) => {
    if (!lane.facets) return [];
    const found = [
      ...grooves
        .filter((g) => g.lanes.some(({ index }) => index === lane.index))
        .map((g) => `a groove along '${g.seam}'`),
      ...milgrains.filter((m) => m.lane.index === lane.index).map(() => 'milgrain'),
      ...(outside === lane.name ? ['letters'] : []),
    ];
    return found.map((what) =>
      problem(
        'marks-on-facets',
        `${pathOf(lane)}.facets`,
        `facets or marks on lane '${lane.name}'`,
        `facets and ${what}`,
        'Leave the facets out, or put the marks on another lane.',
      ),
    );
  });
}

/** Grooves keep metal between themselves and every seat and claw on the lanes beside them. */
function groovesInSeats({ grooves }: Marks, rows: WholeRow[]): Problem[] {
  return grooves.flatMap(({ seam, lanes, design }) =>
    rows
      .filter((row) => lanes.some(({ index }) => index === row.lane.index))
      .flatMap((row) => {
        const walls = [
          // what is set into the side face comes nearest to a seam with its point
          ...row.members.map(({ place }) => (row.design.face ? place.culetAbove : place.wall)),
          ...row.claws.map(({ wall }) => wall),
        ];
        const collars = row.sets.flatMap(({ collar }) => (collar ? [collar.beside] : []));
        const left =
          Math.min(...walls, ...collars, row.grain?.rail ?? Number.POSITIVE_INFINITY) - design.widthMm / 2;
        if (left >= BESIDE_SEAT_MM) return [];
        const expected = `at least ${mm(BESIDE_SEAT_MM)} between the groove and the seats and claws of row '${row.design.name}'`;
        return [
          problem(
            'groove-in-seat',
            `seams.${seam}.groove`,
            expected,
            mm(left),
            'Make the groove narrower or the stones or claws smaller.',
          ),
        ];
      }),
  );
}

/** What a catalogue tells of a band's marks. */
export function markFacts({ grooves, milgrains, engravings }: Marks): MarkFacts {
  return {
    engravings: engravings.map(({ design, side, lane, laid, stroke }) => ({
      side,
      ...(lane ? { lane: lane.name } : {}),
      text: design.text.replaceAll('\n', ' / '),
      style: design.style,
      heightMm: design.heightMm,
      depthMm: design.depthMm,
      lengthMm: laid.lengthMm,
      atDeg: (design.atRad * 180) / Math.PI,
      heads: headsOf(design, side),
      wallDeg: ((design.slantRad ?? 0) * 180) / Math.PI,
      strokeMm: stroke.widthMm,
    })),
    milgrain: milgrains.map(({ along, lane, design, frames, pitchMm }) => ({
      along,
      lane: lane.name,
      beadMm: design.beadMm,
      pitchMm,
      count: frames.length,
    })),
    grooves: grooves.map(({ seam, design }) => ({ along: seam, ...design })),
  };
}
