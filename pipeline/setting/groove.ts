import { type Lane, surveyAngles } from '../band/lane.ts';
import { degrees, mm, problem } from '../band/problem-words.ts';
import { driftAt, midRadius, normalAt, radiusAt, slopeAt } from '../band/profile.ts';
import { finenessOf, sweepAngles } from '../band/sweep-angles.ts';
import type { WeldedMesh } from '../band/welded-mesh.ts';
import type { GrooveDesign } from '../plan/seam-design.ts';
import type { Problem, Result } from '../problem.ts';
import { type Frame, toBand, turnToBand } from './stone.ts';
import { cross, unit } from './vec.ts';

/** A groove along a seam, cut into both lanes beside it. */
export interface Groove {
  design: GrooveDesign;
  seam: string;
  /** the lanes on either side; their outsides are one surface */
  lanes: [low: Lane, high: Lane];
  /** least metal between its bottom and the bore, and where */
  wall: { mm: number; theta: number };
}

/** Least metal under a groove that is still a solid wall, mm. Bench checks ask for more. */
const LEAST_WALL_MM = 0.2;
/** Lanes whose outsides differ by less count as one surface, mm. */
const LEVEL_MM = 1e-6;
/** The cutter reaches this far out of the surface, mm. */
const PROUD_MM = 0.1;
/** Inner rim of a bend against the seam: below this the cutter's sections crowd. */
const LEAST_PACE = 0.15;

export function planGroove(
  design: GrooveDesign,
  path: string,
  seam: string,
  low: Lane,
  high: Lane,
): Result<Groove> {
  const found: Problem[] = [];
  const refuse = (code: string, expected: string, received: string, advice: string) =>
    found.push(problem(code, path, expected, received, advice));
  const step = Math.abs(midRadius(low.outer) - midRadius(high.outer));
  if (step > LEVEL_MM) {
    const expected = 'lanes of equal recess on both sides of a groove';
    refuse(
      'groove-on-step',
      expected,
      `a step of ${mm(step)}`,
      'Give both lanes one recess, or leave the groove out.',
    );
  }
  const { widthMm, depthMm, profile } = design;
  if (!(widthMm > 0 && depthMm > 0) || (profile === 'round' && depthMm > widthMm / 2 + 1e-9)) {
    const expected = 'a width and a depth above zero, and a round groove at most half as deep as wide';
    refuse('groove-size', expected, `${widthMm} mm wide, ${depthMm} mm deep`, 'Make it wider or shallower.');
  }
  const wall = leastWall(low, high, depthMm);
  if (wall.mm < LEAST_WALL_MM) {
    const expected = `at least ${mm(LEAST_WALL_MM)} of metal under the groove`;
    refuse(
      'groove-through',
      expected,
      `${mm(wall.mm)} at θ = ${degrees(wall.theta)}`,
      'Make the groove shallower or the band thicker.',
    );
  }
  const corner = surveyAngles(low).find((theta) => overCorner(low, theta, widthMm / 2));
  if (corner !== undefined) {
    const expected = 'a seam beside the corners of the section, not over them';
    const received = `a corner within the groove at θ = ${degrees(corner)}`;
    refuse('groove-over-corner', expected, received, 'Move the seam, or leave the groove out.');
  }
  const tight = surveyAngles(low).find((theta) => pace(low, theta, rim(design)) < LEAST_PACE);
  if (tight !== undefined) {
    const expected = `a seam that bends less tightly than the groove is wide, ${mm(widthMm)}`;
    refuse(
      'groove-too-tight',
      expected,
      `a tighter bend at θ = ${degrees(tight)}`,
      'Lower the wave or make the groove narrower.',
    );
  }
  return found.length > 0 ? { problems: found } : { design, seam, lanes: [low, high], wall };
}

/** Down to the bore, or to the floor of an inlay on one side. */
function leastWall(lane: Lane, beside: Lane, depth: number): Groove['wall'] {
  return surveyAngles(lane)
    .map((theta) => {
      const z = lane.high.curve.z(theta);
      const under = Math.max(radiusAt(lane.bore(theta), z), radiusAt(beside.bore(theta), z));
      return { mm: radiusAt(lane.outer(theta), z) - depth - under, theta };
    })
    .reduce((a, b) => (b.mm < a.mm ? b : a));
}

/** Whether a corner of the section, rounded more tightly than the groove is wide, lies within its rims. */
function overCorner({ outer, high }: Lane, theta: number, half: number): boolean {
  const z = high.curve.z(theta);
  return outer(theta).pieces.some(
    ({ fromZ, toZ, curvature }) => curvature * half > 0.5 && fromZ < z + half && toZ > z - half,
  );
}

/** How fast the tighter rim runs against the seam: 1 − half·κ, κ the curvature of the seam unrolled. */
function pace(lane: Lane, theta: number, half: number): number {
  const { curve } = lane.high;
  const r = radiusAt(lane.outer(theta), curve.z(theta));
  const slope = curve.slope(theta) / r;
  const curvature = Math.abs(curve.bend(theta)) / (r * r) / (1 + slope * slope) ** 1.5;
  return 1 - half * curvature;
}

/** Half the cutter's width where it leaves the metal. */
function rim(design: GrooveDesign): number {
  return Math.max(...outlineOf(design, 0.005).map(({ y }) => y));
}

/** A place on the seam: x along it, the axis square to the surface. */
function seamFrame(lane: Lane, theta: number): Frame {
  const z = lane.high.curve.z(theta);
  const slope = lane.high.curve.slope(theta);
  const outer = lane.outer(theta);
  const r = radiusAt(outer, z);
  const [nz, nr] = normalAt(outer, z);
  const [sin, cos] = [Math.sin(theta), Math.cos(theta)];
  const drift = driftAt(outer, z);
  // the surface rises by `drift` to the radian where z stays: its normal leans back from that
  const lean = -(nr * drift) / r;
  const axis = unit([nr * sin + lean * cos, nr * cos - lean * sin, nz]);
  const rise = slope * slopeAt(outer, z) + drift;
  const x = unit([r * cos + rise * sin, -r * sin + rise * cos, slope]);
  return { origin: [r * sin, r * cos, z], x, y: cross(axis, x), axis };
}

/** A corner of the cutter's outline, with the normals of the sides that end and begin there. */
interface Corner {
  y: number;
  h: number;
  /** outward (y, h) normals before and after; equal on a smooth side */
  before: [number, number];
  after: [number, number];
}

/**
 * Half the width of the flat at the bottom of a V, mm. A graver ends in one, wider than that (common practice); and were its
 * edge a line, that would lie in the seam's wall, where the boolean would leave metal without thickness.
 */
const TIP_MM = 0.005;

/** The cutter's outline, counter-clockwise seen against the seam: from the rim down, up again, and back above the metal. */
function outlineOf({ widthMm, depthMm, profile }: GrooveDesign, chordMm: number): Corner[] {
  const half = widthMm / 2;
  if (profile === 'v') {
    const top = half * (1 + PROUD_MM / depthMm);
    const size = Math.hypot(half, depthMm);
    const tip = -depthMm * (1 - TIP_MM / half);
    const left: [number, number] = [-depthMm / size, -half / size];
    const right: [number, number] = [depthMm / size, -half / size];
    return [
      { y: -top, h: PROUD_MM, before: [0, 1], after: left },
      { y: -TIP_MM, h: tip, before: left, after: [0, -1] },
      { y: TIP_MM, h: tip, before: [0, -1], after: right },
      { y: top, h: PROUD_MM, before: right, after: [0, 1] },
    ];
  }
  const radius = (half * half) / (2 * depthMm) + depthMm / 2;
  const centre = radius - depthMm;
  const open = Math.asin(Math.min(1, half / radius));
  // an odd number: a corner at the bottom would run along the seam's wall, as the tip of a V would
  const segments = Math.max(9, Math.ceil(open / Math.acos(1 - Math.min(1, chordMm / 4 / radius))) | 1);
  const arc = Array.from({ length: segments + 1 }, (_, i): Corner => {
    const a = -open + (2 * open * i) / segments;
    const n: [number, number] = [Math.sin(a), -Math.cos(a)];
    return { y: radius * n[0], h: centre + radius * n[1], before: n, after: n };
  });
  // above the metal the sides go straight up
  const [first, last] = [arc[0], arc[segments]];
  const wall = (side: 1 | -1): [number, number] => [side, 0];
  return [
    { y: first.y, h: PROUD_MM, before: [0, 1], after: wall(-1) },
    { ...first, before: wall(-1) },
    ...arc.slice(1, -1),
    { ...last, after: wall(1) },
    { y: last.y, h: PROUD_MM, before: wall(1), after: [0, 1] },
  ];
}

/** The cutter of a groove: its outline swept along the seam, a closed ring. */
export function grooveMesh({ design, lanes: [lane] }: Groove, chordMm: number): WeldedMesh {
  const outline = outlineOf(design, chordMm);
  const angles = sweepAngles([lane.high.curve], midRadius(lane.outer), finenessOf(chordMm));
  const columns = outline.flatMap((corner) => {
    const { y, h, before, after } = corner;
    const smooth = before[0] === after[0] && before[1] === after[1];
    const side = (n: [number, number], crease: boolean) => ({ y, h, n, crease });
    return smooth ? [side(after, false)] : [side(before, false), side(after, true)];
  });
  const width = columns.length;
  const positions = new Float32Array(3 * width * angles.length);
  const normals = new Float32Array(positions.length);
  const indices: number[] = [];
  const mergeFrom: number[] = [];
  const mergeTo: number[] = [];
  angles.forEach((theta, i) => {
    const frame = seamFrame(lane, theta);
    const next = ((i + 1) % angles.length) * width;
    columns.forEach(({ y, h, n, crease }, j) => {
      const at = i * width + j;
      positions.set(toBand(frame, [0, y, h]), 3 * at);
      normals.set(turnToBand(frame, [0, n[0], n[1]]), 3 * at);
      if (crease) {
        mergeFrom.push(at);
        mergeTo.push(at - 1);
      }
      const k = (j + 1) % width;
      if (columns[k].crease) return;
      const here = i * width;
      indices.push(here + j, here + k, next + k, here + j, next + k, next + j);
    });
  });
  return {
    positions,
    normals,
    indices: Uint32Array.from(indices),
    mergeFrom: Uint32Array.from(mergeFrom),
    mergeTo: Uint32Array.from(mergeTo),
  };
}
