import type { Lane } from '../band/lane.ts';
import { outsideAt } from '../band/outside-line.ts';
import { drawnContours } from '../band/path-outline.ts';
import { normalAt, type ProfileSurface, radiusAt } from '../band/profile.ts';
import type { SeamCurve } from '../band/seam-curve.ts';
import { blockHeight, type EngravingDesign, type HeadsTowards } from '../plan/engraving-design.ts';
import type { LetterCut } from './letter-cutter.ts';
import { turnAlong } from './letter-run.ts';
import { type LetterOutline, type LetterPoint, letterOutlines, missingGlyphs } from './lettering.ts';
import type { Narrowest } from './stroke-width.ts';
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

/** Where a line lies: mm along it (s) and up (t) from its middle become angles and z; letters turn with its run. */
export interface LaidLine {
  surface: ProfileSurface;
  /** the surface's radius at the line's middle, at which lengths along the line are true, mm */
  radiusMm: number;
  atRad: number;
  /** z of the line's middle all round */
  run: SeamCurve;
  /** how far round from its middle a place along it lies, rad */
  turnAt(s: number): number;
  /** +1 where letters stand up towards +z, the second edge */
  up: 1 | -1;
  /** +1 where the line runs with θ: which way follows from `up`, lest letters come out mirror-written */
  along: 1 | -1;
  lengthMm: number;
}

/** How a design's letters are cut, but for what the cutter needs beyond the metal. */
export function cutOf({ depthMm, slantRad = 0, coverMm = 0 }: EngravingDesign): Omit<LetterCut, 'proudMm'> {
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
  run: SeamCurve,
  chordMm: number,
): { laid: LaidLine; letters: LetterOutline[] } | undefined {
  const letters = outlinesOf(design, chordMm);
  const along = letters.flatMap(({ contours }) => contours.flat().map(([s]) => s));
  if (along.length === 0) return undefined;
  // a fold: `Math.max` of so many points would overflow the stack
  const lengthMm = 2 * along.reduce((most, s) => Math.max(most, Math.abs(s)), 0);
  const { atRad } = design;
  const radiusMm = radiusAt(surface(atRad), run.z(atRad));
  const up = headsOf(design, side) === 'second' ? 1 : -1;
  return {
    laid: {
      surface,
      radiusMm,
      atRad,
      run,
      turnAt: turnAlong(run, atRad, radiusMm),
      up,
      along: (side === 'inside') === (up === 1) ? 1 : -1,
      lengthMm,
    },
    letters,
  };
}

/** Outlines about the middle of the whole: of a drawing, or of each line's letters; none if any letter is missing. */
function outlinesOf(design: EngravingDesign, chordMm: number): LetterOutline[] {
  const { text, drawing, style, heightMm } = design;
  if (drawing !== undefined) {
    const contours = drawnContours(drawing, heightMm, chordMm);
    return 'fault' in contours ? [] : [{ letter: text, contours: contours.contours }];
  }
  if (missingGlyphs(text, style).length > 0) return [];
  const whole = blockHeight(design);
  const lines = text.split('\n');
  return lines.flatMap((line, i) => {
    const letters = letterOutlines(line, style, heightMm, chordMm);
    const right = letters
      .flatMap(({ contours }) => contours.flat().map(([s]) => s))
      .reduce((a, b) => Math.max(a, b), 0);
    const foot =
      lines.length === 1
        ? -heightMm / 2
        : whole / 2 - heightMm - (i * (whole - heightMm)) / (lines.length - 1);
    const moved = letters.map(({ letter, contours }) => ({
      letter,
      contours: contours.map((contour) => contour.map(([s, t]): LetterPoint => [s - right / 2, t + foot])),
    }));
    // letters of a script run into each other: to the graver they are one
    return style === 'script'
      ? [{ letter: line, contours: moved.flatMap(({ contours }) => contours) }]
      : moved;
  });
}

/** θ and z of a point of a line. */
export function placeOnLine(line: LaidLine, [s, t]: LetterPoint): { theta: number; z: number } {
  const { run, radiusMm, up } = line;
  const theta = line.atRad + line.turnAt(line.along * s);
  const slope = run.slope(theta) / radiusMm;
  const size = Math.hypot(1, slope);
  return { theta: theta - (up * t * slope) / size / radiusMm, z: run.z(theta) + (up * t) / size };
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

/** What a line must keep clear of: by how much a point lies within it, and what it is. */
export type Obstacle = (p: CutPoint) => { overlapMm: number; what: string } | undefined;

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
