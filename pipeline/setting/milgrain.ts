import type { Lane, LaneBound } from '../band/lane.ts';
import { besideBound, outsideAt } from '../band/outside-line.ts';
import { degrees, mm, problem } from '../band/problem-words.ts';
import { meshVolume, type WeldedMesh } from '../band/welded-mesh.ts';
import type { MilgrainDesign } from '../plan/seam-design.ts';
import type { Problem, Result } from '../problem.ts';
import { collarOutside } from './collar.ts';
import { outsideGirdle } from './girdle.ts';
import type { GrainField } from './grain.ts';
import { type ProfilePoint, revolve, roundSegments } from './revolution.ts';
import type { WholeRow } from './row-plan.ts';
import { type Frame, toStone } from './stone.ts';
import { cross, unit, type Vec } from './vec.ts';

/** A line of beads, worked out. */
export interface Milgrain {
  design: MilgrainDesign;
  /** of the seam, or `edge` */
  along: string;
  lane: Lane;
  /** one a bead; the axis is the surface's normal */
  frames: Frame[];
  /** distance of neighbours along the line, mm */
  pitchMm: number;
  lengthMm: number;
}

/** Air between a bead and the seam beside it, so that it touches nothing of the other lane, mm. */
const SEAM_AIR_MM = 0.02;
const LEAST_BEAD_SEGMENTS = 16;

/** Width along a bound that its beads take, beyond what else runs there, mm. */
export function beadWidth({ beadMm }: MilgrainDesign): number {
  return beadMm + SEAM_AIR_MM;
}

/**
 * Beads on a lane along one of its bounds, at equal distances by arc length, a whole number of them.
 * @param cleared width beside the bound that is taken already, by half a groove
 */
export function planMilgrain(
  design: MilgrainDesign,
  path: string,
  along: string,
  lane: Lane,
  bound: LaneBound,
  cleared: number,
): Result<Milgrain> {
  const inset = cleared + SEAM_AIR_MM + design.beadMm / 2;
  const line = besideBound(lane, bound, inset);
  if (!line) {
    const expected = `a seam that bends less tightly than ${mm(inset)}, where the beads would run`;
    const advice = 'Lower the wave or use smaller beads.';
    return { problems: [problem('milgrain-too-tight', path, expected, 'a tighter bend', advice)] };
  }
  const count = Math.max(1, Math.floor(line.lengthMm / design.pitchMm + 1e-9));
  const pitchMm = line.lengthMm / count;
  const frames = Array.from({ length: count }, (_, k) => {
    const { theta, z } = line.at(k * pitchMm);
    return surfaceFrame(lane, theta, z);
  });
  return { design, along, lane, frames, pitchMm, lengthMm: line.lengthMm };
}

function surfaceFrame(lane: Lane, theta: number, z: number): Frame {
  const { r, nz, nr } = outsideAt(lane, theta, z);
  const [sin, cos] = [Math.sin(theta), Math.cos(theta)];
  const axis: Vec = unit([nr * sin, nr * cos, nz]);
  const x: Vec = [cos, -sin, 0];
  return { origin: [r * sin, r * cos, z], x, y: cross(axis, x), axis };
}

/** Beads that would stand in a stone's seat or in a claw, on the lane they share. */
export function beadsInSeats(milgrain: Milgrain, rows: readonly WholeRow[], path: string): Problem[] {
  const reach = milgrain.design.beadMm / 2;
  for (const row of rows.filter((r) => r.lane.index === milgrain.lane.index)) {
    for (const { origin } of milgrain.frames) {
      const theta = Math.atan2(origin[0], origin[1]);
      const gap = Math.min(...distances(row, origin)) - reach;
      if (gap >= LEAST_BESIDE_MM) continue;
      return [
        problem(
          'milgrain-in-seat',
          path,
          `beads at least ${mm(LEAST_BESIDE_MM)} from the seats and claws of row '${row.design.name}'`,
          `${mm(gap)} at θ = ${degrees(theta)}`,
          'Use smaller beads or stones, a wider lane, or beads on the other lane.',
        ),
      ];
    }
  }
  return [];
}

const LEAST_BESIDE_MM = 0.02;

/** Distances of a point from every opening and claw of a row, square to their axes; all but the near ones are left out. */
export function distances({ members, claws, channel, grain }: WholeRow, p: Vec): number[] {
  const found = [Number.POSITIVE_INFINITY];
  for (const { set, place } of members) {
    const { frame } = place;
    const [x, y, h] = toStone(frame, p);
    if (set.collar && h < 0) found.push(Math.hypot(x, y) - collarOutside(set.collar, h));
    if (Math.abs(h) > 1.5 || Math.hypot(x, y) > 6) continue;
    found.push(outsideGirdle(set.seat.opening, x, y));
    // between its stones a channel runs on
    if (channel && Math.abs(x) < 3)
      found.push(
        outsideBox(
          Math.abs(y) - channel.ledge,
          channel.ends ? pastEnds(channel.ends, p) : Number.NEGATIVE_INFINITY,
        ),
      );
    if (grain) found.push(besideField(grain, set.design.setDepthMm, place.theta, x, y, p));
  }
  for (const { frame, radius } of claws) {
    const [x, y, h] = toStone(frame, p);
    if (Math.abs(h) < 1.5) found.push(Math.hypot(x, y) - radius);
  }
  return found;
}

/** Distance from the edge of a field, whose walls lean out up to the lane's surface, `depthMm` over the girdles. */
function besideField(
  { halves, floor, slope, closed }: GrainField,
  depthMm: number,
  theta: number,
  x: number,
  y: number,
  p: Vec,
): number {
  const half = Math.max(...halves.filter((h) => Math.abs(h.theta - theta) < NEAR_RAD).map((h) => h.half));
  const edge = half + slope * Math.max(0, depthMm - floor);
  // an open field ends in a round of its own width about the last stone
  const past = closed ? 0 : Math.max(0, pastEnds([halves[0].theta, halves[halves.length - 1].theta], p));
  return Math.max(Math.hypot(y, past) - edge, Math.abs(x) - FIELD_REACH_MM);
}

/** How far beyond the ends of an open row a point lies along the band; negative between them, mm. */
function pastEnds([from, to]: readonly [number, number], p: Vec): number {
  const turn = Math.atan2(p[0], p[1]) - (from + to) / 2;
  const aside = Math.abs(turn - 2 * Math.PI * Math.round(turn / (2 * Math.PI)));
  return (aside - (to - from) / 2) * Math.hypot(p[0], p[1]);
}

/** Distance from a box by the distances beyond its sides; negative inside. */
function outsideBox(beside: number, beyond: number): number {
  const within = Math.max(beside, beyond);
  return within <= 0 ? within : Math.hypot(Math.max(0, beside), Math.max(0, beyond));
}

/** Stones of a field whose width counts at a place, and how far along the row it is looked for. */
const NEAR_RAD = 0.3;
const FIELD_REACH_MM = 3;

/**
 * One bead: a ball about a frame's origin. Its facets are drawn a little larger so that the ball's volume is that of
 * the sphere, since there are hundreds of them and every one would lose mass.
 */
export function beadMesh(frame: Frame, beadMm: number, chordMm: number): WeldedMesh {
  const radius = beadMm / 2;
  const segments = roundSegments(radius, chordMm, LEAST_BEAD_SEGMENTS);
  const plain = ball(frame, radius, segments);
  const share = (4 / 3) * Math.PI * radius ** 3;
  return ball(frame, radius * Math.cbrt(share / volumeOf(plain, frame)), segments);
}

function volumeOf(mesh: WeldedMesh, { origin }: Frame): number {
  // about the ball's own middle: far from it the sum would lose digits
  const positions = mesh.positions.map((v, i) => v - origin[i % 3]);
  return meshVolume({ ...mesh, positions });
}

function ball(frame: Frame, radius: number, segments: number): WeldedMesh {
  const rings = segments / 2;
  const run = Array.from({ length: rings + 1 }, (_, i): ProfilePoint => {
    const a = (Math.PI * i) / rings - Math.PI / 2;
    const nRho = i === 0 || i === rings ? 0 : Math.cos(a);
    return { rho: radius * nRho, h: radius * Math.sin(a), nRho, nH: Math.sin(a) };
  });
  return revolve(frame, [run], segments);
}
