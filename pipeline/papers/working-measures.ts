/**
 * What is measured and marked out at the bench to make a band by hand or to check a casting: the blank, where seams
 * run, how wide lanes are, where each stone stands, what is cut for it and what holds it. All from the planned band,
 * before anything is polished; mm.
 */
import { type Lane, lanesOf } from '../band/lane.ts';
import { linerBand } from '../band/liner.ts';
import { edgeCurve, isUniform } from '../band/outline.ts';
import { outsideSurface } from '../band/outside.ts';
import { midRadius } from '../band/profile.ts';
import { firstWire, strandsOf } from '../band/strand.ts';
import { strandLength } from '../band/strand-curve.ts';
import type { ShapeDesign } from '../plan/design.ts';
import { isRefused } from '../problem.ts';
import { holeAt } from '../setting/azure.ts';
import { girdleExtent } from '../setting/girdle.ts';
import { planRow, type RowPlan, slotsOf, type WholeRow } from '../setting/row-plan.ts';
import { radiusOf } from '../setting/seat.ts';

/** Something that changes round the band: its least and its most, and the angle of each, rad from the top. */
export interface Swing {
  least: number;
  leastAt: number;
  most: number;
  mostAt: number;
}

export interface SeamMeasures extends Swing {
  /** as the design calls it, or its number from 1 on */
  name: string;
  /** how often its course repeats round the band */
  repeats: number;
  /** distance from the first edge at each of its `markedAngles` */
  at: number[];
}

export interface StoneMark {
  row: string;
  /** from 1 on, as drawn */
  number: number;
  /** from the top, rad */
  theta: number;
  /** from the top along the outside */
  alongMm: number;
  /** middle from the first edge */
  fromEdgeMm: number;
  diameterMm: number;
  lengthMm?: number;
}

export interface SeatMeasures {
  /** the row's name, with the size where it has several */
  name: string;
  /** across the opening along and square to the row */
  opening: readonly [number, number];
  /** through-hole likewise; none for a closed seat */
  hole?: readonly [number, number];
  /** where it comes out of the bore, if it is azured */
  azure?: readonly [number, number];
  /** girdle below the metal */
  girdleDepthMm: number;
  /** where the bearing begins and ends, below the girdle */
  bearing: readonly [from: number, to: number];
}

export type HoldMeasures = { row: string } & (
  | { kind: 'claws' | 'grains'; count: number; baseMm: number; overMetalMm: number; overGirdleMm: number }
  | { kind: 'channel'; openMm: number; slotMm: number; floorMm: number }
  | { kind: 'flush'; lipMm: number; flareMm: number }
  | { kind: 'collar'; outsideMm: number; wallMm: number; lipMm?: number; taperRad: number }
);

export interface WorkingMeasures {
  /** flat strip to be bent; none where the section is not level inside and outside or the width changes */
  blank?: { lengthMm: number; wide: boolean };
  seams: SeamMeasures[];
  lanes: ({ name: string } & Swing)[];
  /** of wires over and under each other, in place of seams and lanes */
  wires: { name: string; diameterMm: number; lengthMm: number }[];
  /** on the outside and in the bore; stones in side faces are marked by the drawing of their face */
  stones: StoneMark[];
  seats: SeatMeasures[];
  holds: HoldMeasures[];
}

const MARKS = 12;

/** Angles at which seams are marked out, rad from the top: each twelfth of the round, or of what repeats. */
export function markedAngles(repeats: number): number[] {
  const first = repeats === 1 ? 1 - MARKS / 2 : 0;
  return Array.from({ length: MARKS }, (_, i) => ((first + i) * 2 * Math.PI) / (MARKS * repeats));
}

/** Most waves that a seam may have. */
const MOST_REPEATS = 60;
/** Angles that no number of waves has in common. */
const LOOKED_AT = Array.from({ length: 24 }, (_, i) => i * 2.39996);

/** How often a course repeats round the band. */
function repeatsOf(course: (theta: number) => number): number {
  const same = (n: number) =>
    LOOKED_AT.every((theta) => Math.abs(course(theta + (2 * Math.PI) / n) - course(theta)) < 1e-6);
  if (LOOKED_AT.every((theta) => Math.abs(course(theta) - course(0)) < 1e-6)) return 1;
  for (let n = MOST_REPEATS; n > 1; n--) if (same(n)) return n;
  return 1;
}

/** Rows that cannot be made have no measures; whoever asks has built the band before. */
export function workingMeasures(design: ShapeDesign): WorkingMeasures {
  const lanes = lanesOf(design);
  const edge = edgeCurve(design, -1);
  const slots = slotsOf(design.rows);
  const rows = design.rows.flatMap((row, i) => {
    const plan = planRow(row, i, lanes, slots[i]);
    return isRefused(plan) ? [] : [plan];
  });
  const blank = blankOf(linerBand(design) ?? design);
  const strands = strandsOf(design);
  return {
    ...(blank ? { blank } : {}),
    seams: (strands ? [] : lanes.slice(0, -1)).map(({ high: { curve } }, i) => {
      const from = (theta: number) => curve.z(theta) - edge.z(theta);
      const name = design.seams[i].name ?? String(i + 1);
      const repeats = repeatsOf(from);
      return { name, repeats, at: markedAngles(repeats).map(from), ...swing(from, curve.extremes) };
    }),
    lanes: (strands ? [] : lanes).map((lane) => ({ name: lane.name, ...laneSwing(lane) })),
    wires: (strands?.curves ?? []).map((curve, i) => ({
      name: lanes[firstWire(design.strands!) + i].name,
      diameterMm: strands!.wireMm,
      lengthMm: strandLength(curve, strands!.repeats),
    })),
    stones: rows.flatMap((row) => (row.design.face ? [] : stoneMarks(row, design))),
    seats: rows.flatMap(({ sets }) => sets.map(seatMeasures)),
    holds: rows.flatMap(holdMeasures),
  };
}

/** A strip wider than this is cut a little longer. */
const WIDE_BLANK_MM = 4;
const WIDE_BLANK_EXTRA_MM = 0.5;

/**
 * Length of the flat strip for a band that is flat inside and outside: π · (inside + thickness), half a millimetre more
 * for strips wider than 4 mm. Source: riogrande.com, Measuring a ring blank.
 */
function blankOf(design: ShapeDesign): WorkingMeasures['blank'] {
  const { section, circumferenceMm, thicknessMm, widthMm } = design;
  if (design.strands || section.name !== 'flat' || section.comfortMm > 0 || !isUniform(design))
    return undefined;
  const wide = widthMm > WIDE_BLANK_MM;
  return { lengthMm: circumferenceMm + Math.PI * thicknessMm + (wide ? WIDE_BLANK_EXTRA_MM : 0), wide };
}

/** Steps in which extremes are looked for where a curve does not tell its own. */
const STEPS = 720;

function swing(of: (theta: number) => number, extremes: readonly number[]): Swing {
  const even = Array.from({ length: STEPS }, (_, i) => (2 * Math.PI * i) / STEPS - Math.PI);
  const found: Swing = { least: Infinity, leastAt: 0, most: -Infinity, mostAt: 0 };
  // a curve's own extremes first: of equal values the first is kept
  for (const theta of [0, ...extremes, ...even]) {
    const value = of(theta);
    if (value < found.least - 1e-9) [found.least, found.leastAt] = [value, theta];
    if (value > found.most + 1e-9) [found.most, found.mostAt] = [value, theta];
  }
  return found;
}

function laneSwing({ low, high }: Lane): Swing {
  const width = (theta: number) => high.curve.z(theta) - low.curve.z(theta);
  return swing(width, [...low.curve.extremes, ...high.curve.extremes]);
}

function stoneMarks({ design: row, places }: WholeRow, design: ShapeDesign): StoneMark[] {
  const radius = midRadius(outsideSurface(design));
  const edge = edgeCurve(design, -1);
  return places.stones.map(({ frame: { origin }, sized }, i) => {
    const theta = Math.atan2(origin[0], origin[1]);
    return {
      row: row.name,
      number: i + 1,
      theta,
      alongMm: radius * theta,
      fromEdgeMm: origin[2] - edge.z(theta),
      diameterMm: sized.diameterMm,
      ...(sized.lengthMm === undefined ? {} : { lengthMm: sized.lengthMm }),
    };
  });
}

function seatMeasures({ name, seat, design, places }: RowPlan): SeatMeasures {
  const azure = seat.azure && holeAt(seat, Math.min(...places.map(({ bore }) => bore)));
  return {
    name,
    opening: girdleExtent(seat.opening),
    ...(seat.hole ? { hole: girdleExtent(seat.hole) } : {}),
    ...(azure ? { azure: girdleExtent(azure) } : {}),
    girdleDepthMm: design.setDepthMm,
    bearing: [-seat.bearingTop, -seat.bearingFoot],
  };
}

/** Rows of several sizes have claws of several: those of the largest base are told. */
function holdMeasures({ design: { name: row }, claws, grain, channel, sets }: WholeRow): HoldMeasures[] {
  const pins = (kind: 'claws' | 'grains', of: WholeRow['claws']): HoldMeasures[] => {
    if (of.length === 0) return [];
    const { radius, root, tip } = of.reduce((a, b) => (b.radius > a.radius ? b : a));
    return [{ row, kind, count: of.length, baseMm: 2 * radius, overMetalMm: tip - root, overGirdleMm: tip }];
  };
  const flushes = sets.flatMap(({ name, flush }): HoldMeasures[] =>
    flush ? [{ row: name, kind: 'flush', lipMm: 2 * flush.radius, flareMm: 2 * flush.flare }] : [],
  );
  const collars = sets.flatMap(({ name, collar, seat }): HoldMeasures[] => {
    if (!collar) return [];
    const { radius, slope, lip } = collar;
    const size = {
      outsideMm: 2 * radius,
      wallMm: radius - radiusOf(seat.opening),
      taperRad: Math.atan(slope),
    };
    return [{ row: name, kind: 'collar', ...size, ...(lip && { lipMm: 2 * lip.radius }) }];
  });
  return [
    ...pins('claws', claws),
    ...pins('grains', grain?.grains ?? []),
    ...(channel
      ? [
          {
            row,
            kind: 'channel' as const,
            openMm: 2 * channel.half,
            slotMm: 2 * channel.slot,
            floorMm: -channel.floor,
          },
        ]
      : []),
    ...flushes,
    ...collars,
  ];
}
