import type { Manifold } from 'manifold-3d';
import { mm } from '../band/design-problems.ts';
import { ProblemError } from '../problem.ts';
import { grooveCutter } from './channel.ts';
import { clawMesh } from './claw.ts';
import { flushCutter } from './flush.ts';
import { girdleReach } from './girdle.ts';
import { roundSegments } from './revolution.ts';
import { problem, type RowPlan } from './row-plan.ts';
import { notchCutters, type Seat, seatCutters, seatFor } from './seat.ts';
import type { NativeSolids } from './solid-kernel.ts';

/** Chips smaller than this may fall off when claws are notched, mm³; the bench files them away. */
const CHIP_MM3 = 0.002;
const LEAST_SEAT_SEGMENTS = 32;
const LEAST_CLAW_SEGMENTS = 20;

/**
 * Claw feet reach this far out of the seat's walls, mm. Were the two cuts one surface, or the foot's the wider one,
 * the boolean would leave slivers and pinholes between foot and wall.
 */
const FOOT_PROUD_MM = 0.006;

/**
 * Cuts a row's seats out of its lane and adds the claws. Claws are trimmed before they are joined: a cutter of each
 * stone's outline notches them where they bite and keeps their feet out of the seats, so that no metal is left
 * inside a stone.
 * @throws ProblemError when the lane falls apart
 */
export function setStones(solids: NativeSolids, lane: Manifold, plan: RowPlan, chordMm: number): Manifold {
  const { seat, stone, places } = plan;
  const reach = girdleReach(seat.opening);
  const segments = roundSegments(reach, chordMm, LEAST_SEAT_SEGMENTS);
  const cutters = places.flatMap(({ frame, surface, bore }) => {
    const top = Math.max(surface, stone.halfGirdle) + reach / 2;
    const bottom = holeBottom(bore, seat);
    if (plan.flush) {
      return [solids.fromMesh(flushCutter(frame, stone, seat, plan.flush, bottom, top, segments))];
    }
    const meshes = plan.channel
      ? notchCutters(frame, stone, seat, bottom, segments)
      : seatCutters(frame, stone, seat, top, bottom, segments);
    return meshes.map((mesh) => solids.fromMesh(mesh));
  });
  if (plan.channel)
    cutters.push(solids.fromMesh(grooveCutter(plan.lane, plan.design, plan.channel, chordMm)));
  const seated = solids.subtract(lane, cutters);
  const whole =
    plan.claws.length === 0 ? seated : solids.unite([seated, trimmedClaws(solids, plan, chordMm)]);
  return onePiece(solids, whole, plan);
}

/** Far enough below the bore for the whole rim of the hole. */
function holeBottom(bore: number, seat: Seat): number {
  const half = seat.hole ? girdleReach(seat.hole) / 2 : 0;
  return bore - 0.2 - half;
}

function trimmedClaws(solids: NativeSolids, plan: RowPlan, chordMm: number): Manifold {
  const { stone, places, claws, design } = plan;
  const segments = roundSegments(claws[0].radius, chordMm, LEAST_CLAW_SEGMENTS);
  const pins = solids.unite(claws.map((claw) => solids.fromMesh(clawMesh(claw, segments))));
  const seat = seatFor(stone, design.holeShare, -FOOT_PROUD_MM);
  const notches = places.flatMap(({ frame, bore }) =>
    notchCutters(frame, stone, seat, holeBottom(bore, seat), LEAST_SEAT_SEGMENTS).map((mesh) =>
      solids.fromMesh(mesh),
    ),
  );
  return solids.subtract(pins, notches);
}

/** Drops the chips; more than one larger part means the seats have cut the lane through. */
function onePiece(solids: NativeSolids, solid: Manifold, plan: RowPlan): Manifold {
  const parts = solids.parts(solid).sort((a, b) => b.volume() - a.volume());
  const loose = parts.slice(1).filter((part) => part.volume() > CHIP_MM3);
  if (loose.length > 0) {
    throw new ProblemError([
      problem(
        'lane-falls-apart',
        `rows[${plan.index}]`,
        'one piece of metal after cutting the seats',
        `${loose.length + 1} pieces, the second of ${loose[0].volume().toFixed(3)} mm³`,
        `Widen lane '${plan.lane.name}' or leave wider gaps than ${mm(plan.layout.chord - plan.design.diameterMm)}.`,
      ),
    ]);
  }
  return parts[0];
}
