import { degrees, mm } from '../band/design-problems.ts';
import type { Lane } from '../band/lane.ts';
import { outsideAt } from '../band/outside-line.ts';
import { problem } from '../band/problem-words.ts';
import { normalAt, type ProfileSurface, radiusAt } from '../band/profile.ts';
import type { EngravingDesign, HeadsTowards } from '../catalogue/design.ts';
import type { Problem } from '../problem.ts';
import type { Cut } from './letter-cutter.ts';
import { type LetterOutline, type LetterPoint, letterOutlines, missingGlyphs } from './lettering.ts';
import { mergedLetters, type SolidKernel, widestHalf } from './solid-kernel.ts';
import { type Narrowest, strokeWidths } from './stroke-width.ts';
import type { Vec } from './vec.ts';

export type EngravedSide = 'inside' | 'outside';

/** A line of letters laid on its surface, not yet cut. */
export interface Engraving {
  design: EngravingDesign;
  side: EngravedSide;
  /** the lane an outside line is cut into */
  lane?: Lane;
  laid: LaidLine;
  /** contours about the middle of the line and half the capitals' height, strokes on their left */
  letters: LetterOutline[];
  stroke: Narrowest;
  web: Narrowest;
  /** depth below the finished surface at the narrowest stroke and at the widest: less than asked where walls meet, mm */
  reached: { leastMm: number; mostMm: number };
  /** least metal between the letters' floor and the other side of the band, and where */
  wall: { mm: number; theta: number };
}

/** Where a line lies: mm along it (s) and up (t) from its middle become angles and z. */
export interface LaidLine {
  surface: ProfileSurface;
  /** the surface's radius at the line's middle, at which lengths along the line are true, mm */
  radiusMm: number;
  atRad: number;
  centreMm: number;
  /** +1 where letters stand up towards +z, the second edge */
  up: 1 | -1;
  /** +1 where the line runs with θ: which way follows from `up`, lest letters come out mirror-written */
  along: 1 | -1;
  lengthMm: number;
}

/** Longest chord between points that are checked, mm. */
const CHECK_STEP_MM = 0.1;
/** Thinnest stroke that is cut clean, and thinnest web that stands between two, mm. Bench checks ask for more. */
export const LEAST_STROKE_MM = 0.06;
export const LEAST_WEB_MM = 0.04;
/** Least metal under letters that is still a solid wall, mm. */
const LEAST_WALL_MM = 0.3;

/** How a design's letters are cut, but for what the cutter needs beyond the metal. */
export function cutOf({ depthMm, slantRad = 0, coverMm = 0 }: EngravingDesign): Omit<Cut, 'proudMm'> {
  return { depthMm, slantRad, coverMm };
}

/** The edge that letters stand towards: in the bore usually the second, outside the first. */
export function headsOf({ heads }: EngravingDesign, side: EngravedSide): HeadsTowards {
  return heads ?? (side === 'inside' ? 'second' : 'first');
}

/** The line of a design on its surface, set but not judged; undefined if the font lacks letters or has no ink for them. */
export function layLine(
  design: EngravingDesign,
  side: EngravedSide,
  surface: ProfileSurface,
  middleMm: number,
  chordMm: number,
): { laid: LaidLine; letters: LetterOutline[] } | undefined {
  if (missingGlyphs(design.text, design.style).length > 0) return undefined;
  const letters = letterOutlines(design.text, design.style, design.heightMm, chordMm);
  const along = letters.flatMap(({ contours }) => contours.flat().map(([s]) => s));
  if (along.length === 0) return undefined;
  const lengthMm = Math.max(...along);
  const centreMm = design.centreMm ?? middleMm;
  const up = headsOf(design, side) === 'second' ? 1 : -1;
  return {
    laid: {
      surface,
      radiusMm: radiusAt(surface(design.atRad), centreMm),
      atRad: design.atRad,
      centreMm,
      up,
      along: (side === 'inside') === (up === 1) ? 1 : -1,
      lengthMm,
    },
    letters: letters.map(({ letter, contours }) => ({
      letter,
      contours: contours.map((contour) =>
        contour.map(([s, t]): LetterPoint => [s - lengthMm / 2, t - design.heightMm / 2]),
      ),
    })),
  };
}

/** θ and z of a point of a line. */
export function placeOnLine(line: LaidLine, [s, t]: LetterPoint): { theta: number; z: number } {
  return { theta: line.atRad + (line.along * s) / line.radiusMm, z: line.centreMm + line.up * t };
}

/** Band coordinates of a point of a line, `rise` mm out of the metal along the surface's normal. */
export function onSurface(line: LaidLine, at: LetterPoint, rise: number): Vec {
  const { theta, z } = placeOnLine(line, at);
  const profile = line.surface(theta);
  const [nz, nr] = normalAt(profile, z);
  const r = radiusAt(profile, z) + rise * nr;
  return [r * Math.sin(theta), r * Math.cos(theta), z + rise * nz];
}

/** A point of a line where its letters must be cut, with the letter it belongs to. */
export interface CutPoint {
  theta: number;
  z: number;
  letter: string;
  point: Vec;
}

/** Points all along the contours, close together. */
function cutPoints(line: LaidLine, letters: readonly LetterOutline[]): CutPoint[] {
  return letters.flatMap(({ letter, contours }) =>
    contours.flatMap((contour) =>
      contour.flatMap((a, i) => {
        const b = contour[(i + 1) % contour.length];
        const parts = Math.max(1, Math.ceil(Math.hypot(b[0] - a[0], b[1] - a[1]) / CHECK_STEP_MM));
        return Array.from({ length: parts }, (_, k): CutPoint => {
          const p: LetterPoint = [a[0] + ((b[0] - a[0]) * k) / parts, a[1] + ((b[1] - a[1]) * k) / parts];
          return { ...placeOnLine(line, p), letter, point: onSurface(line, p, 0) };
        });
      }),
    ),
  );
}

/** What a line must keep clear of: by how much a point lies within it, and what it is. */
export type Obstacle = (p: CutPoint) => { overlapMm: number; what: string } | undefined;

/**
 * Sets a line and judges it: letters the font has, strokes that can be cut, room along and across, metal left under
 * it, and nothing in its way.
 * @param metalUnder radial metal of the band at a place, before the letters are cut
 */
export function planEngraving(
  kernel: SolidKernel,
  design: EngravingDesign,
  side: EngravedSide,
  surface: ProfileSurface,
  lane: Lane | undefined,
  middleMm: number,
  chordMm: number,
  metalUnder: (theta: number, z: number) => number,
  obstacles: readonly Obstacle[],
): Engraving | Problem[] {
  const path = `engraving.${side}`;
  const missing = missingGlyphs(design.text, design.style);
  if (missing.length > 0) {
    const named = missing.map(
      (c) => `${c} (U+${c.codePointAt(0)!.toString(16).toUpperCase().padStart(4, '0')})`,
    );
    const expected = 'letters of the Latin alphabets, figures and common signs, which the font has';
    return [
      problem(
        'missing-glyphs',
        `${path}.text`,
        expected,
        named.join(', '),
        'Replace or leave out these letters.',
      ),
    ];
  }
  if (!(design.heightMm > 0 && design.depthMm > 0)) {
    const received = `${design.heightMm} mm high, ${design.depthMm} mm deep`;
    return [problem('engraving-size', path, 'a height and a depth above zero', received, 'Give both.')];
  }
  const line = layLine(design, side, surface, middleMm, chordMm / 2);
  if (!line) {
    return [
      problem(
        'no-letters',
        `${path}.text`,
        'at least one letter that leaves a mark',
        JSON.stringify(design.text),
        'Write something, or leave the engraving out.',
      ),
    ];
  }
  const { laid } = line;
  const letters = mergedLetters(kernel, line.letters);
  const found: Problem[] = [];
  const refuse = (code: string, field: string, expected: string, received: string, advice: string) =>
    found.push(problem(code, field ? `${path}.${field}` : path, expected, received, advice));
  const available = 2 * Math.PI * laid.radiusMm - design.heightMm / 2;
  if (laid.lengthMm > available) {
    const expected = `at most ${mm(available)} of letters round the ${side === 'inside' ? 'bore' : 'band'}`;
    refuse(
      'text-too-long',
      'text',
      expected,
      mm(laid.lengthMm),
      'Shorten the text or make the letters lower.',
    );
  }
  const { stroke, web } = strokeWidths(letters, design.heightMm);
  if (stroke.widthMm < LEAST_STROKE_MM) {
    const expected = `strokes at least ${mm(LEAST_STROKE_MM)} wide`;
    refuse(
      'stroke-too-thin',
      '',
      expected,
      `${mm(stroke.widthMm)} at '${stroke.letter}'`,
      'Use higher letters or the bold font.',
    );
  }
  if (web.widthMm < LEAST_WEB_MM) {
    const expected = `at least ${mm(LEAST_WEB_MM)} of metal between strokes`;
    refuse(
      'web-too-thin',
      '',
      expected,
      `${mm(web.widthMm)} at '${web.letter}'`,
      'Use higher letters or another font.',
    );
  }
  const cut = cutOf(design);
  const slope = Math.tan(cut.slantRad);
  const asked = design.depthMm - cut.coverMm;
  const widest = slope > 0 ? widestHalf(kernel, letters) : 0;
  const floorOf = (halfMm: number) => (slope > 0 ? Math.min(asked, halfMm / slope) : asked);
  const reached = { leastMm: floorOf(stroke.widthMm / 2), mostMm: floorOf(widest) };
  if (reached.mostMm * slope > stroke.widthMm + web.widthMm) {
    const expected = `walls that reach at most ${mm(stroke.widthMm + web.widthMm)} into a stroke, lest they cut into the next`;
    const received = `${mm(reached.mostMm * slope)} at ${degrees(cut.slantRad)}`;
    refuse('walls-too-flat', 'walls', expected, received, 'Make the walls steeper or the letters shallower.');
  }
  const points = cutPoints(laid, letters);
  for (const obstacle of obstacles) {
    const worst = points
      .map((p) => ({ p, hit: obstacle(p) }))
      .reduce((a, b) => ((b.hit?.overlapMm ?? 0) > (a.hit?.overlapMm ?? 0) ? b : a), {
        p: points[0],
        hit: undefined,
      });
    if (!worst.hit || worst.hit.overlapMm <= 0) continue;
    const { overlapMm, what } = worst.hit;
    const received = `'${worst.p.letter}' ${mm(overlapMm)} too far at θ = ${degrees(worst.p.theta)}`;
    refuse(
      'text-in-the-way',
      '',
      `letters clear of ${what}`,
      received,
      'Move the line ("at", "across"), shorten it or make it lower.',
    );
  }
  const wall = points
    .map((p) => ({ mm: metalUnder(p.theta, p.z) - cut.coverMm - reached.mostMm, theta: p.theta }))
    .reduce((a, b) => (b.mm < a.mm ? b : a));
  if (wall.mm < LEAST_WALL_MM) {
    const expected = `at least ${mm(LEAST_WALL_MM)} of metal left under the letters`;
    const received = `${mm(wall.mm)} at θ = ${degrees(wall.theta)}`;
    refuse('engraving-too-deep', 'depth', expected, received, 'Cut less deep or make the band thicker.');
  }
  if (found.length > 0) return found;
  return {
    design,
    side,
    ...(lane ? { lane } : {}),
    laid,
    letters,
    stroke,
    web,
    reached,
    wall,
  };
}

/**
 * Radial metal under an engraved surface at a place, softened edges and recess included: from the bore up to the
 * outside, or beneath an inlay to its floor; from the outside down to the bore, or to the floor of an inlay.
 */
export function radialMetal(
  lanes: readonly Lane[],
  side: EngravedSide,
  bore: ProfileSurface,
  theta: number,
  z: number,
): number {
  const lane = lanes.find(({ high }) => !high.mate || z <= high.curve.z(theta)) ?? lanes[lanes.length - 1];
  if (side === 'inside' && lane.inlaid) return radiusAt(lane.bore(theta), z) - radiusAt(bore(theta), z);
  return outsideAt(lane, theta, z).r - radiusAt(lane.bore(theta), z);
}
