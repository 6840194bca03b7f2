/**
 * The outside of a band unrolled at the outside's radius, as seen from outside: x (mm) grows with θ from the back over
 * the top to the back again, y (mm) from the first edge to the second; widths are true. θ runs to the right and z
 * downwards, since their right-handed frame allows no other upright pair.
 */
import { facetEdges } from '../band/facets.ts';
import type { FlatPoint } from '../band/flattened.ts';
import { gapOutline, gapRadius, gapRing } from '../band/gap-outline.ts';
import { type Lane, laneMiddle, lanesOf } from '../band/lane.ts';
import { motifOutline } from '../band/motif.ts';
import { edgeCurve, reachAcross } from '../band/outline.ts';
import { outsideSurface } from '../band/outside.ts';
import { closingStretch, halfDepthLines } from '../band/picture-relief.ts';
import { midRadius } from '../band/profile.ts';
import type { SeamCurve } from '../band/seam-curve.ts';
import { firstWire, strandsOf } from '../band/strand.ts';
import { cellsRound } from '../band/texture.ts';
import type { ShapeDesign } from '../plan/design.ts';
import type { GapDesign } from '../plan/gap-design.ts';
import type { TextureDesign } from '../plan/texture-design.ts';
import { isRefused } from '../problem.ts';
import type { Girdle } from '../setting/girdle.ts';
import { letterRun } from '../setting/letter-run.ts';
import { planRow } from '../setting/row-plan.ts';
import { planSeamMarks } from '../setting/seam-marks.ts';
import { type Frame, toBand } from '../setting/stone.ts';
import { type LaidLetters, laidLetters } from './laid-letters.ts';

export type PaperPoint = readonly [x: number, y: number];

/** A stone's girdle in its place. */
export interface UnrolledStone {
  row: string;
  /** from 1 on */
  number: number;
  middle: PaperPoint;
  outline: PaperPoint[];
  diameterMm: number;
  /** in the bore, seen through the metal */
  inside?: true;
}

export interface Round {
  middle: PaperPoint;
  radius: number;
}

/** Everything that is drawn of it. */
export interface Unrolled {
  /** round the outside */
  lengthMm: number;
  /** from the lowest place of one edge to the highest of the other */
  widthMm: number;
  x(theta: number): number;
  y(z: number): number;
  /** angle from the top of a place along it */
  theta(x: number): number;
  z(y: number): number;
  lanes: Lane[];
  edges: [PaperPoint[], PaperPoint[]];
  seams: { name: string; line: PaperPoint[] }[];
  /** centre lines of wires, each in the parts that lie over the others */
  strands: { lane: string; lines: PaperPoint[][] }[];
  facets: { lane: string; line: PaperPoint[] }[];
  /** outlines of gaps at the outside */
  gaps: PaperPoint[][];
  /** both rims of grooves, and outlines of motifs and pictures */
  rims: PaperPoint[][];
  beads: Round[];
  /** of a row that can be made */
  stones: UnrolledStone[];
  /** claws and grains */
  claws: Round[];
  /** the outside letters, as angles and places across */
  letters?: LaidLetters;
}

const STEPS = 720;

/** @param steps points of each line round the band, less one */
export function unrolled(design: ShapeDesign, steps = STEPS): Unrolled {
  const radius = midRadius(outsideSurface(design));
  const [lowest, highest] = reachAcross(design);
  const x = (theta: number) => radius * (theta + Math.PI);
  const y = (z: number) => z - lowest;
  const at = (theta: number, z: number): PaperPoint => [x(theta), y(z)];
  const round = (z: (theta: number) => number) =>
    Array.from({ length: steps + 1 }, (_, i) => {
      const theta = -Math.PI + (2 * Math.PI * i) / steps;
      return at(theta, z(theta));
    });
  const along = ({ origin: [bx, by, z] }: Frame) => at(Math.atan2(bx, by), z);
  const lanes = lanesOf(design);
  const { grooves, milgrains } = planSeamMarks(design, lanes);
  return {
    lengthMm: 2 * Math.PI * radius,
    widthMm: highest - lowest,
    x,
    y,
    theta: (place) => place / radius - Math.PI,
    z: (place) => place + lowest,
    lanes,
    edges: [round(edgeCurve(design, -1).z), round(edgeCurve(design, 1).z)],
    strands: strandLines(design, at),
    seams: (design.strands ? [] : lanes.slice(0, -1)).map(({ high: { curve } }, i) => ({
      name: design.seams[i].name ?? String(i + 1),
      line: round((theta) => curve.z(theta)),
    })),
    facets: lanes.flatMap((lane) =>
      facetEdges(lane).map((edge) => ({ lane: lane.name, line: edge.map(([theta, z]) => at(theta, z)) })),
    ),
    gaps: (design.gaps ?? []).flatMap((gap) => gapRings(design, gap, at)),
    rims: [
      ...grooves.flatMap(({ design: { widthMm }, lanes: [lane] }) =>
        [-0.5, 0.5].map((side) => round(rimOf(lane.high.curve, side * widthMm, midRadius(lane.outer)))),
      ),
      ...lanes.flatMap((lane) => motifOutlines(lane, at)),
    ],
    beads: milgrains.flatMap(({ design: { beadMm }, frames }) =>
      frames.map((frame) => ({ middle: along(frame), radius: beadMm / 2 })),
    ),
    ...stonesOf(design, lanes, along),
    ...lettersOf(design, lanes),
  };
}

/** Where a wire passes under another its line is left out, by half of the other's width on either side. */
function strandLines(design: ShapeDesign, at: (theta: number, z: number) => PaperPoint): Unrolled['strands'] {
  const strands = strandsOf(design);
  if (!strands) return [];
  const { curves, wireMm, repeats } = strands;
  const steps = 48 * repeats;
  return curves.map((curve, k) => {
    const lines: PaperPoint[][] = [[]];
    for (let i = 0; i <= steps; i++) {
      const theta = -Math.PI + (2 * Math.PI * i) / steps;
      const under = curves.some(
        (other, j) =>
          j !== k &&
          other.r(theta) > curve.r(theta) &&
          Math.abs(other.z(theta) - curve.z(theta)) < wireMm / 2,
      );
      if (!under) lines[lines.length - 1].push(at(theta, curve.z(theta)));
      else if (lines[lines.length - 1].length > 0) lines.push([]);
    }
    return {
      lane: design.lanes[firstWire(design.strands!) + k].name,
      lines: lines.filter((line) => line.length > 1),
    };
  });
}

/** A lane's motif, or the lines at half the depth of its picture, in each of its places. */
function motifOutlines(lane: Lane, at: (theta: number, z: number) => PaperPoint): PaperPoint[][] {
  const { texture } = lane;
  if (!texture) return [];
  const count = cellsRound(lane.outer, texture);
  const contours = drawnLines(lane, texture, count);
  const radius = midRadius(lane.outer);
  return Array.from({ length: count }, (_, k) => {
    const turn = (2 * Math.PI * k) / count;
    const middle = turn > Math.PI ? turn - 2 * Math.PI : turn;
    return contours.map((contour) =>
      [...contour, contour[0]].map(([s, t]) => {
        const theta = middle + s / radius;
        return at(theta, laneMiddle(lane, theta).z - t);
      }),
    );
  }).flat();
}

function drawnLines(lane: Lane, { motif, picture }: TextureDesign, count: number): FlatPoint[][] {
  if (picture) return halfDepthLines(picture, closingStretch(lane, picture, count));
  const outline = motif && motifOutline(motif);
  return outline && !('fault' in outline) ? outline.contours : [];
}

/** A gap's outline, in two parts where it lies at the back: the drawing ends there. */
function gapRings(
  design: ShapeDesign,
  gap: GapDesign,
  at: (theta: number, z: number) => PaperPoint,
): PaperPoint[][] {
  const ring = gapRing(gapOutline(design, gap));
  const radius = gapRadius(design);
  const turn = 2 * Math.PI;
  const ends = [-Math.PI, Math.PI].map((theta) => at(theta, 0)[0]);
  return [-turn, 0, turn].flatMap((by) => {
    const line = ring.map(([u, z]) => at(gap.atRad + by + u / radius, z));
    if (!line.some(([x]) => x > ends[0] && x < ends[1])) return [];
    return [line.map(([x, y]): PaperPoint => [Math.min(ends[1], Math.max(ends[0], x)), y])];
  });
}

/** A line beside a seam, square to it. */
function rimOf(curve: SeamCurve, asideMm: number, radius: number): (theta: number) => number {
  return (theta) => curve.z(theta) + asideMm * Math.hypot(1, curve.slope(theta) / radius);
}

function lettersOf(design: ShapeDesign, lanes: Lane[]): Pick<Unrolled, 'letters'> {
  const { outside } = design.engraving ?? {};
  const lane = lanes.find(({ name }) => name === outside?.lane);
  if (!outside || !lane) return {};
  const letters = laidLetters(outside, 'outside', lane.outer, letterRun(design, outside, lane));
  return letters ? { letters } : {};
}

function stonesOf(
  design: ShapeDesign,
  lanes: Lane[],
  along: (frame: Frame) => PaperPoint,
): Pick<Unrolled, 'stones' | 'claws'> {
  const rows = design.rows.flatMap((row, i) => {
    // stones in a side face have a drawing of their own
    if (row.face) return [];
    const plan = planRow(row, i, lanes);
    return isRefused(plan) ? [] : [plan];
  });
  return {
    stones: rows.flatMap(({ design: { name, inside }, places }) =>
      places.stones.map(({ stone: { girdle }, frame, sized }, k) => ({
        row: name,
        number: k + 1,
        middle: along(frame),
        outline: girdleOutline(girdle, frame, along(frame)),
        diameterMm: sized.diameterMm,
        ...(inside && { inside }),
      })),
    ),
    claws: rows.flatMap(({ claws, grain }) =>
      [...claws, ...(grain?.grains ?? [])].map((claw) => ({
        middle: along(claw.frame),
        radius: claw.radius,
      })),
    ),
  };
}

function girdleOutline(girdle: Girdle, frame: Frame, [x, y]: PaperPoint): PaperPoint[] {
  const outline =
    girdle.kind === 'round'
      ? Array.from({ length: 24 }, (_, k) => {
          const a = (2 * Math.PI * k) / 24;
          return [girdle.radius * Math.cos(a), girdle.radius * Math.sin(a)];
        })
      : girdle.corners;
  const middle = Math.atan2(frame.origin[0], frame.origin[1]);
  return outline.map(([u, v]) => {
    const p = toBand(frame, [u, v, 0]);
    // stones keep their size: along the band by their own angle about the middle, at the outside's radius
    let turn = Math.atan2(p[0], p[1]) - middle;
    turn -= 2 * Math.PI * Math.round(turn / (2 * Math.PI));
    return [x + Math.hypot(p[0], p[1]) * Math.sin(turn), y + p[2] - frame.origin[2]];
  });
}
