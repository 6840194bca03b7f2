import type { Manifold } from 'manifold-3d';
import { mm, problem } from '../band/problem-words.ts';
import type { WeldedMesh } from '../band/welded-mesh.ts';
import { ProblemError } from '../problem.ts';
import { grooveCutter } from './channel.ts';
import type { Claw } from './claw-form.ts';
import { collarSolids } from './collar-solids.ts';
import { flushCutter } from './flush.ts';
import { girdleReach } from './girdle.ts';
import { fieldCutter } from './grain.ts';
import { joinedSeats } from './joined-seats.ts';
import { heightBelow, type SeatedStone } from './place.ts';
import { roundSegments } from './revolution.ts';
import type { HeldRow, RowPlan, WholeRow } from './row-plan.ts';
import {
  notchCutters,
  type Rim,
  rimHeight,
  rimPoints,
  type Seat,
  STONE_CLEARANCE_MM,
  seatCutters,
  seatFor,
} from './seat.ts';
import type { NativeSolids } from './solid-kernel.ts';
import { type Notch, trimmedPins } from './trimmed-pins.ts';

/** Chips smaller than this may fall off when claws are notched, mm³; the bench files them away. */
const CHIP_MM3 = 0.002;
const LEAST_SEAT_SEGMENTS = 16;

/**
 * Claw feet reach this far out of the seat's walls, mm. Were the two cuts one surface, or the foot's the wider one,
 * the boolean would leave slivers and pinholes between foot and wall.
 */
const FOOT_PROUD_MM = 0.006;

/**
 * Cuts a row's seats out of its lane and adds the claws or grains. These are trimmed before they are joined: a cutter
 * of each stone's outline notches them where they bite and keeps their feet out of the seats, so that no metal is left
 * inside a stone.
 *
 * Two booleans over the whole lane take most of the time: of 60 stones at 5 µm, joining the claws takes about half and
 * cutting the seats a quarter. Normals left to be found afterwards would save a twentieth. Claws cut level above the
 * metal, so that only their feet are joined, would each have a ring of triangles more. Seats cut only after raw claws are
 * joined pass as many triangles through.
 * @throws ProblemError when the lane falls apart
 */
export function setStones(solids: NativeSolids, lane: Manifold, row: WholeRow, chordMm: number): Manifold {
  const seats = solids.fromMeshes(row.sets.flatMap((set) => seatsOf(set, chordMm)));
  const cutters = joinedSeats(solids, seats, row, row.channel ? joining(row) : 0);
  if (row.channel) cutters.push(solids.fromMesh(grooveCutter(row.lane, row.design, row.channel, chordMm)));
  if (row.grain) cutters.push(solids.fromMesh(fieldCutter(row.lane, row.design, row.grain, chordMm)));
  const collars = row.sets.flatMap(({ collar, seat, places }) =>
    collar ? collarSolids(solids, { collar, seat, places }, chordMm) : [],
  );
  const seated = solids.subtract(solids.unite([lane, ...collars]), cutters);
  const pins = [...row.claws, ...(row.grain?.grains ?? [])].map(fused);
  const whole =
    pins.length === 0
      ? seated
      : solids.unite([seated, trimmedPins(solids, pins, notchesOf(row, chordMm), chordMm)]);
  return onePiece(solids, whole, row);
}

/** What is cut out for the stones of one size. */
function seatsOf(
  { seat, stone, places, flush, collar, design, whole }: RowPlan,
  chordMm: number,
): WeldedMesh[] {
  const reach = girdleReach(seat.opening);
  const segments = seatSegments(seat, chordMm);
  return places.flatMap((place) => {
    const { frame, surface } = place;
    const raised = collar?.lip?.topHeight ?? stone.halfGirdle;
    const top = Math.max(surface, raised) + reach / 2;
    const bottom = holeBottom(place, seat, design.floorMm);
    const lip = flush ?? collar?.lip;
    if (lip) return [flushCutter(frame, stone, seat, lip, bottom, top, segments)];
    const held = (whole.claws.length > 0 && !collar) || whole.grain;
    const level = whole.grain?.floor ?? place.lowSurface;
    const rim = held ? rimFor(place, seat, level, whole) : undefined;
    return whole.channel
      ? notchCutters(frame, stone, seat, bottom, segments, joining(whole))
      : seatCutters(frame, stone, seat, top, bottom, segments, rim);
  });
}

/** A rim opens on over the highest metal at its opening, mm: by this and by a half more than that rises, for what slopes up beyond. */
const OVER_RIM_MM = 0.02;

/** The rim of a seat, which opens as far up as there is metal round it. */
function rimFor(
  { frame }: SeatedStone,
  seat: Seat,
  level: number,
  { lane, places }: HeldRow,
): Rim | undefined {
  const from = rimHeight(seat, level, places.gapMm);
  if (from === undefined) return undefined;
  const heights = rimPoints(seat.opening).map((p) => heightBelow(frame, p, lane.outer));
  const rise = Math.max(0, Math.max(...heights) - level);
  return { from, to: level + 1.5 * rise + OVER_RIM_MM };
}

/** Between walls, gaps below this would leave fins of metal from seat to seat, mm. */
const LEAST_FIN_MM = 0.25;

/**
 * Sides of a turned cutter. They lie within its circle, so that as much as their sagitta is taken off the air round the
 * stone: however coarse the tolerance, half of the least air is left.
 */
export function seatSegments({ opening }: Seat, chordMm: number): number {
  return roundSegments(girdleReach(opening), Math.min(chordMm, STONE_CLEARANCE_MM / 2), LEAST_SEAT_SEGMENTS);
}

/** By how much seats between walls are cut longer so that near neighbours run into each other. */
function joining({ places: { gapMm } }: HeldRow): number {
  return gapMm < LEAST_FIN_MM ? gapMm / 2 + 0.01 : 0;
}

/** Far enough below the bore for the whole rim of the hole, or at the floor that is to be left. */
function holeBottom({ bore, highBore }: SeatedStone, seat: Seat, floorMm?: number): number {
  if (floorMm !== undefined) return highBore + floorMm;
  const half = seat.hole ? girdleReach(seat.hole) / 2 : 0;
  return bore - 0.2 - half;
}

/**
 * A claw no deeper in the metal than it needs to join it: farther down it is the lane's own metal, but for a skin along the
 * seats that would only cost the engine many near-parallel cuts. One of a head stands free, down to its foot.
 */
function fused(pin: Claw): Claw {
  return pin.rod ? pin : { ...pin, foot: Math.max(pin.foot, pin.root - pin.radius) };
}

/** What the stones of a row cut out of its claws or grains. */
export function notchesOf({ sets }: WholeRow, chordMm: number): Notch[] {
  return sets.flatMap(({ stone, places, design, seat: own }, set) => {
    const seat = seatFor(stone, design.holeShare, -FOOT_PROUD_MM);
    // as many sides as the seat's, so that the two run side by side
    const segments = seatSegments(own, chordMm);
    return places.map((place): Notch => {
      const bottom = holeBottom(place, seat, design.floorMm);
      const { frame } = place;
      const meshes = notchCutters(frame, stone, seat, bottom, segments);
      return { frame, kind: `${set} ${bottom.toFixed(5)}`, meshes };
    });
  });
}

/** Drops the chips; more than one larger part means the seats have cut the lane through. */
function onePiece(solids: NativeSolids, solid: Manifold, row: WholeRow): Manifold {
  const parts = solids.parts(solid).sort((a, b) => b.volume() - a.volume());
  const loose = parts.slice(1).filter((part) => part.volume() > CHIP_MM3);
  if (loose.length > 0) {
    throw new ProblemError([
      problem(
        'lane-falls-apart',
        `rows.${row.design.name}`,
        'one piece of metal after cutting the seats',
        `${loose.length + 1} pieces, the second of ${loose[0].volume().toFixed(3)} mm³`,
        `Widen lane '${row.lane.name}' or leave wider gaps than ${mm(row.places.gapMm)}.`,
      ),
    ]);
  }
  return parts[0];
}
