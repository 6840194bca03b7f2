import type { Manifold } from 'manifold-3d';
import { gapCutter } from '../band/gap-cutter.ts';
import { distanceToGap, gapOutline, gapRadius, gapRing } from '../band/gap-outline.ts';
import type { Lane } from '../band/lane.ts';
import { degrees, mm, pathOf, problem } from '../band/problem-words.ts';
import type { ShapeDesign } from '../plan/design.ts';
import type { GapDesign } from '../plan/gap-design.ts';
import { type Problem, ProblemError } from '../problem.ts';
import { clawReach } from './claw-form.ts';
import { thetaOf } from './clearance.ts';
import { placeOnLine } from './engraving.ts';
import { girdleReach } from './girdle.ts';
import type { Marks } from './marks.ts';
import type { WholeRow } from './row-plan.ts';
import type { NativeSolids } from './solid-kernel.ts';

/** Metal between a gap's rim and a seat, claw, collar, bead or letter, mm. */
const BESIDE_MM = 0.25;
/** Chips smaller than this fall off, mm³. */
const CHIP_MM3 = 0.002;

/** Something that no gap may come near: a disc on the unrolled outside. */
interface Standing {
  theta: number;
  z: number;
  reach: number;
  what: string;
}

function standingOf(rows: readonly WholeRow[], marks: Marks | undefined): Standing[] {
  const stones = rows.flatMap(({ design, members, claws, grain }) => [
    ...members.map(({ set, place }): Standing => {
      // what is set into a side face goes as deep across the band
      const deep = design.face ? set.stone.solid.depthMm : 0;
      const reach = Math.max(girdleReach(set.seat.opening), set.collar?.radius ?? 0, deep);
      const { origin } = place.frame;
      return { theta: thetaOf(origin), z: origin[2], reach, what: `a stone of row '${design.name}'` };
    }),
    ...[...claws, ...(grain?.grains ?? [])].map((pin): Standing => {
      const { origin } = pin.frame;
      return {
        theta: thetaOf(origin),
        z: origin[2],
        reach: clawReach(pin),
        what: `a claw of row '${design.name}'`,
      };
    }),
  ]);
  const beads = (marks?.milgrains ?? []).flatMap(({ along, frames, design }) =>
    frames.map(
      ({ origin }): Standing => ({
        theta: thetaOf(origin),
        z: origin[2],
        reach: design.beadMm / 2,
        what: `the milgrain of '${along}'`,
      }),
    ),
  );
  const letters = (marks?.engravings ?? []).flatMap(({ side, laid, letters }) =>
    letters.flatMap(({ letter, contours }) =>
      contours.flat().map((point): Standing => {
        const what = `‘${letter}’ of the ${side} engraving`;
        return { ...placeOnLine(laid, point), reach: 0, what };
      }),
    ),
  );
  return [...stones, ...beads, ...letters];
}

/** Gaps that come too near to what stands on the band or is cut into it. */
export function gapsBeside(
  design: ShapeDesign,
  rows: readonly WholeRow[],
  marks: Marks | undefined,
): Problem[] {
  const { gaps = [] } = design;
  if (gaps.length === 0) return [];
  const radius = gapRadius(design);
  const standing = standingOf(rows, marks);
  return gaps.flatMap((gap) => {
    const ring = gapRing(gapOutline(design, gap));
    const least = gap.softenMm + BESIDE_MM;
    const all = standing.map((each) => {
      const turn = each.theta - gap.atRad;
      const x = radius * (turn - 2 * Math.PI * Math.round(turn / (2 * Math.PI)));
      return { ...each, left: distanceToGap(ring, [x, each.z]) - each.reach };
    });
    const worst = all.reduce<(typeof all)[number] | undefined>(
      (a, b) => (!a || b.left < a.left ? b : a),
      undefined,
    );
    if (!worst || worst.left >= least) return [];
    const expected = `at least ${mm(least)} between the gap and ${worst.what}`;
    const received = `${mm(worst.left)} at θ = ${degrees(worst.theta)}`;
    const advice = 'Move or shorten the gap, or leave its place free of stones, beads and letters.';
    return [problem('gap-in-the-way', `gaps.${gap.name}`, expected, received, advice)];
  });
}

/** Cuts the gaps out of a lane. @throws ProblemError when it falls apart */
export function cutGaps(
  solids: NativeSolids,
  solid: Manifold,
  lane: Lane,
  design: ShapeDesign,
  gaps: readonly GapDesign[],
): Manifold {
  const cut = solids.subtract(
    solid,
    gaps.map((gap) => solids.fromMesh(gapCutter(design, gap, lane))),
  );
  const parts = solids.parts(cut).sort((a, b) => b.volume() - a.volume());
  const loose = parts.slice(1).filter((part) => part.volume() > CHIP_MM3);
  if (loose.length === 0) return parts[0];
  throw new ProblemError([
    problem(
      'gap-parts-lane',
      pathOf(lane),
      'one piece of metal after the gaps are cut',
      `${loose.length + 1} pieces, the second of ${loose[0].volume().toFixed(3)} mm³`,
      'Move the gap, or the seams beside it, so that each lane stays whole.',
    ),
  ]);
}
