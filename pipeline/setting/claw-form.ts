import type { WeldedMesh } from '../band/welded-mesh.ts';
import type { ClawTip } from '../plan/setting-design.ts';
import { type ProfilePoint, revolve, straightRun } from './revolution.ts';
import { type Frame, toBand, toStone } from './stone.ts';
import type { Vec } from './vec.ts';

/**
 * A claw or grain as a setter leaves it: it rises out of the metal over a small hollow, tapers, bends over the girdle and
 * ends in its tip. Cut level, square to its axis, it is an ellipse everywhere, so its volume is a sum of ellipses. Heights
 * are along its axis from the girdle plane; mm.
 */
export interface Claw {
  /** origin in the girdle plane; x along the row, y towards the stones it holds */
  frame: Frame;
  /** at its base, where it leaves the metal */
  radius: number;
  /** height of the metal's surface */
  root: number;
  tip: number;
  /** height of the foot inside the metal */
  foot: number;
  /** how far its top lies towards the stones */
  bend: number;
  style: ClawTip;
  /** a rod down to its foot, without hollow at its base: on a head */
  rod?: true;
  /** least metal between it and the lane's sides */
  wall: number;
}

type ClawBody = Omit<Claw, 'wall'>;

interface TipKind {
  /** by how much it is longer along the row than across it, all the way up */
  length: number;
  /** how squarely the outline turns from side to top: 2 is an ellipse */
  power: number;
  /** how far the top may lie towards the stones, as a share of the claw's radius */
  bend: number;
  /** by how much it grows along the row from its base to its top; it tapers where negative */
  widening: number;
}

const TIPS: Record<ClawTip, TipKind> = {
  round: { length: 1, power: 1.8, bend: 0.45, widening: -0.3 },
  talon: { length: 1, power: 1.8, bend: 0.6, widening: -0.65 },
  tab: { length: 1, power: 3, bend: 0.15, widening: 0.1 },
  // a short bar from stone to stone, bent far in: notched by both it lies over a corner of each
  corner: { length: 1.5, power: 2.4, bend: 0.5, widening: -0.25 },
};

/** The hollow at the base: most of the radius that it is high, and how it grows with what stands out of the metal. */
const HOLLOW_OF_RADIUS = 0.14;
const HOLLOW_FROM = 0.45;
const HOLLOW_GROWTH = 0.4;
/** Lower ones are not to be seen, mm: such a claw rises straight out of the metal. */
const LEAST_HOLLOW_MM = 0.004;
/** Slope at which the hollow leaves the metal: a level one would lie in its surface. */
const HOLLOW_START = Math.PI / 4;
/** A claw that is taller than wide keeps its width longer, up to this power. */
const MOST_POWER = 6;

/** What stands above the hollow: a dome of half-width `q` from height `h` over `rise`, |ρ/q|^power + |t|^power = 1. */
interface Dome {
  q: number;
  h: number;
  rise: number;
  power: number;
}

function hollowOf({ radius, root, tip, rod }: Pick<ClawBody, 'radius' | 'root' | 'tip' | 'rod'>): {
  arc: number;
  h: number;
} {
  const grown = HOLLOW_GROWTH * (tip - root - HOLLOW_FROM * radius);
  const h = rod || grown < LEAST_HOLLOW_MM ? 0 : Math.min(grown, HOLLOW_OF_RADIUS * radius);
  return { arc: h / Math.cos(HOLLOW_START), h };
}

function domeOf(body: Pick<ClawBody, 'radius' | 'root' | 'tip' | 'style' | 'rod'>): Dome {
  const { arc, h } = hollowOf(body);
  const q = body.radius - arc * (1 - Math.sin(HOLLOW_START));
  const rise = body.tip - body.root - h;
  const power = Math.min(MOST_POWER, TIPS[body.style].power + Math.max(0, rise / q - 1));
  return { q, h: body.root + h, rise, power };
}

/** Level section of a claw: half-widths along the row and across it, and how far its middle lies towards the stones. */
export interface ClawSection {
  h: number;
  along: number;
  across: number;
  shift: number;
}

/** A point of the dome's outline; `share` is of its rise. `u` runs from base to tip, evenly up the sides and in over the top. */
function domeAt({ q, h, rise, power }: Dome, u: number): ProfilePoint & { share: number } {
  const corner = 2 ** (-1 / power);
  const other = (share: number) => (1 - share ** power) ** (1 / power);
  const share = u <= 0.5 ? 2 * u * corner : other((2 - 2 * u) * corner);
  const wide = u <= 0.5 ? other(share) : (2 - 2 * u) * corner;
  const [nRho, nH] = [rise * wide ** (power - 1), q * share ** (power - 1)];
  const size = Math.hypot(nRho, nH);
  return { rho: q * wide, h: h + rise * share, nRho: nRho / size, nH: nH / size, share };
}

const SECTIONS = 16;

/** Sections from the metal's surface to the tip. */
export function clawSections(claw: ClawBody): ClawSection[] {
  const dome = domeOf(claw);
  const { length, widening } = TIPS[claw.style];
  const base = { h: claw.root, along: length * claw.radius, across: claw.radius, shift: 0 };
  return [
    base,
    ...Array.from({ length: SECTIONS + 1 }, (_, i): ClawSection => {
      const { rho, h, share } = domeAt(dome, i / SECTIONS);
      return {
        h,
        along: length * rho * (1 + widening * share ** 2),
        across: rho,
        shift: claw.bend * share ** 2,
      };
    }),
  ];
}

/** How far a claw reaches from its frame's axis, along the row or towards its stones. */
export const clawReach = (claw: ClawBody) =>
  Math.max(...clawSections(claw).map(({ along, across, shift }) => Math.max(along, across + shift)));

/** How far a claw reaches from its frame's axis towards its stones. */
export const clawOverhang = (claw: ClawBody) =>
  Math.max(...clawSections(claw).map(({ across, shift }) => across + shift));

/**
 * How far the top of a claw lies towards its stones: as its style has it, and no farther than keeps the whole claw within
 * `room` of its axis, or within its base where that is wider, so that it doesn't come nearer to the one across the row.
 */
export function bendWithin(body: Omit<ClawBody, 'bend'>, room: number): number {
  const most = TIPS[body.style].bend * domeOf(body).q;
  const reach = Math.max(room, body.radius);
  if (clawOverhang({ ...body, bend: most }) <= reach) return most;
  let [low, high] = [0, most];
  for (let i = 0; i < 30; i++) {
    const middle = (low + high) / 2;
    if (clawOverhang({ ...body, bend: middle }) > reach) high = middle;
    else low = middle;
  }
  return low;
}

/** Segments round a claw, however small. */
const LEAST_SEGMENTS = 20;
const LEAST_RING = 12;

export function clawMesh(claw: ClawBody, chordMm: number): WeldedMesh {
  const { radius, root, foot, frame } = claw;
  const dome = domeOf(claw);
  const { length, widening } = TIPS[claw.style];
  const segments = Math.max(
    LEAST_SEGMENTS,
    Math.ceil(Math.PI / Math.acos(Math.max(0, 1 - (ROUND_SHARE * chordMm) / (length * radius)))),
  );
  const { arc } = hollowOf(claw);
  const turn = Math.PI / 2 - HOLLOW_START;
  // hollow, so that its chords lie outside and those round it inside: either may take nearly all of the tolerance
  const parts = Math.ceil(turn / 2 / Math.acos(Math.max(0, 1 - (0.9 * chordMm) / (length * arc))));
  const hollow = Array.from({ length: arc > 0 ? parts + 1 : 0 }, (_, i): ProfilePoint => {
    const a = HOLLOW_START + (i / parts) * turn;
    const [sin, cos] = [Math.sin(a), Math.cos(a)];
    const rho = radius - arc * (sin - Math.sin(HOLLOW_START));
    return { rho, h: root + arc * (Math.cos(HOLLOW_START) - cos), nRho: sin, nH: cos, ring: segments };
  });
  const base: ProfilePoint = { rho: radius, h: root, nRho: 1, nH: 0, ring: segments };
  let below = dome.h;
  const top = domeRings(claw, dome, chordMm).map((at) => {
    // what a chord strays level counts by as much as the surface is upright there; and it must not tilt a low ring's facets
    const wide = length * Math.max(1, 1 + widening * at.share ** 2);
    const stray = Math.min(RING_SHARE * chordMm, MOST_TILT * (at.h - below));
    const sides = Math.ceil(Math.PI * Math.sqrt((wide * at.rho * at.nRho) / (2 * stray)));
    below = at.h;
    return { ...at, ring: Math.min(segments, Math.max(LEAST_RING, sides)) };
  });
  const straight = revolve(
    frame,
    [
      straightRun(0, foot, radius, foot),
      straightRun(radius, foot, radius, root),
      [...(arc > 0 ? hollow : [base]), ...top],
    ],
    segments,
  );
  return bent(straight, claw, dome);
}

/** The parts of the tolerance that chords round a claw may take, and chords up and down. */
const ROUND_SHARE = 0.65;
const UPRIGHT_SHARE = 0.3;
/** Rings above the base are fewer and unlike their neighbours, so that chords round and up add to each other. */
const RING_SHARE = 0.35;
/** Most that a chord may stray level, as a share of the height to the ring below. */
const MOST_TILT = Math.tan(Math.PI / 12);

/** Points among which the rings of a dome are chosen. */
const FINE = 120;
/** Most that the light may turn from ring to ring. */
const LEAST_COS_TURN = Math.cos(Math.PI / 9);

/** As few rings as keep the chords between them to their part of the tolerance, bent as the claw is. */
function domeRings(claw: ClawBody, dome: Dome, chordMm: number): (ProfilePoint & { share: number })[] {
  const fine = Array.from({ length: FINE + 1 }, (_, i) => domeAt(dome, i / FINE));
  const { length, widening } = TIPS[claw.style];
  // its sides as seen from across the row, and one as seen along it
  const sides = [1, -1, 0].map((side) =>
    fine.map(({ rho, share }) =>
      side === 0 ? length * rho * (1 + widening * share ** 2) : side * rho + claw.bend * share ** 2,
    ),
  );
  const straight = (from: number, to: number) =>
    fine[from].nRho * fine[to].nRho + fine[from].nH * fine[to].nH > LEAST_COS_TURN &&
    sides.every((side) => strays(fine, side, from, to) <= UPRIGHT_SHARE * chordMm);
  const rings: (ProfilePoint & { share: number })[] = [];
  for (let from = 0; from < FINE; ) {
    let to = from + 1;
    while (to < FINE && straight(from, to + 1)) to++;
    rings.push(fine[to]);
    from = to;
  }
  return rings;
}

/** How far a side strays from its chord between two of its points. */
function strays(fine: readonly ProfilePoint[], side: readonly number[], from: number, to: number): number {
  const [run, rise] = [side[to] - side[from], fine[to].h - fine[from].h];
  const size = Math.hypot(run, rise);
  let most = 0;
  for (let i = from + 1; i < to; i++) {
    const off = Math.abs((side[i] - side[from]) * rise - (fine[i].h - fine[from].h) * run) / size;
    if (off > most) most = off;
  }
  return most;
}

/**
 * The turned claw drawn out along the row and bent towards the stones: (x, y, h) goes to (x · w(h), y + s(h), h), level
 * sections staying level. Normals go by the inverse transpose of that.
 */
function bent(mesh: WeldedMesh, { frame, bend, style }: ClawBody, dome: Dome): WeldedMesh {
  const { length, widening } = TIPS[style];
  const { positions, normals } = mesh;
  const level = { ...frame, origin: [0, 0, 0] as Vec };
  for (let i = 0; i < positions.length; i += 3) {
    const [x, y, h] = toStone(frame, [positions[i], positions[i + 1], positions[i + 2]]);
    const t = Math.max(0, (h - dome.h) / dome.rise);
    if (t === 0 && length === 1) continue;
    const wide = length * (1 + widening * t * t);
    positions.set(toBand(frame, [x * wide, y + bend * t * t, h]), i);
    const [nx, ny, nh] = toStone(level, [normals[i], normals[i + 1], normals[i + 2]]);
    const grow = (2 * t) / dome.rise;
    const n: Vec = [nx / wide, ny, nh - (nx * x * length * widening * grow) / wide - ny * bend * grow];
    const size = Math.hypot(...n);
    normals.set(toBand(level, [n[0] / size, n[1] / size, n[2] / size]), i);
  }
  return mesh;
}
