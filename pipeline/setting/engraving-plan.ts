import type { Lane } from '../band/lane.ts';
import { drawnContours } from '../band/path-outline.ts';
import { degrees, mm, problem } from '../band/problem-words.ts';
import type { ProfileSurface } from '../band/profile.ts';
import type { SeamCurve } from '../band/seam-curve.ts';
import { blockHeight, type EngravingDesign } from '../plan/engraving-design.ts';
import type { Problem, Result } from '../problem.ts';
import {
  type CutPoint,
  cutOf,
  type EngravedSide,
  type Engraving,
  type LaidLine,
  layLine,
  type Obstacle,
  onSurface,
  placeOnLine,
} from './engraving.ts';
import { type LetterOutline, type LetterPoint, missingGlyphs } from './lettering.ts';
import { mergedLetters, type SolidKernel, widestHalf } from './solid-kernel.ts';
import { strokeWidths } from './stroke-width.ts';

/** Longest chord between points that are checked, mm. */
const CHECK_STEP_MM = 0.1;
/** Thinnest stroke that is cut clean, and thinnest web that stands between two, mm. Bench checks ask for more. */
const LEAST_STROKE_MM = 0.06;
const LEAST_WEB_MM = 0.04;
/** Least metal under letters that is still a solid wall, mm. */
const LEAST_WALL_MM = 0.3;

/** What a line of letters is cut into. */
export interface LetterGround {
  side: EngravedSide;
  surface: ProfileSurface;
  /** the lane an outside line is cut into */
  lane?: Lane;
  /** z of the line's middle all round */
  run: SeamCurve;
  /** radial metal of the band at a place before the letters are cut, mm */
  metalUnder(theta: number, z: number): number;
  obstacles: readonly Obstacle[];
}

/**
 * Sets a line and judges it: letters the font has, strokes that can be cut, room along and across, metal left under
 * it, and nothing in its way.
 */
export function planEngraving(
  kernel: SolidKernel,
  design: EngravingDesign,
  ground: LetterGround,
  chordMm: number,
): Result<Engraving> {
  const { side, lane } = ground;
  const path = `engraving.${side}`;
  const unset = textProblem(design, path);
  if (unset) return { problems: [unset] };
  const line = layLine(design, side, ground.surface, ground.run, chordMm / 2);
  if (!line) return { problems: [noLetters(design, path)] };
  const { laid } = line;
  const letters = mergedLetters(kernel, line.letters);
  const widths = strokeWidths(letters, design.heightMm);
  const reached = depthReached(kernel, design, letters, widths.stroke.widthMm);
  const points = cutPoints(laid, letters);
  const wall = thinnestWall(design, ground, points, reached.mostMm);
  const found = [
    ...lengthProblems(design, laid, side, path),
    ...bendProblems(design, laid, path),
    ...strokeProblems(widths, path),
    ...slantProblems(design, widths, reached.mostMm, path),
    ...obstructions(ground.obstacles, points, path),
    ...wallProblems(wall, path),
  ];
  if (found.length > 0) return { problems: found };
  return { design, side, ...(lane && { lane }), laid, letters, ...widths, reached, wall };
}

/** What keeps a text from being set at all. */
function textProblem(design: EngravingDesign, path: string): Problem | undefined {
  if (design.drawing !== undefined) {
    const drawn = drawnContours(design.drawing, design.heightMm, design.heightMm / 100);
    if (!('fault' in drawn)) return undefined;
    const { code, expected, received, advice } = drawn.fault;
    return problem(code, `${path}.drawing`, expected, received, advice);
  }
  const missing = missingGlyphs(design.text, design.style);
  if (missing.length > 0) {
    const code = (c: string) => c.codePointAt(0)!.toString(16).toUpperCase().padStart(4, '0');
    const named = missing.map((c) => `${c} (U+${code(c)})`).join(', ');
    const expected = 'letters of the Latin alphabets, figures and common signs, which the font has';
    return problem('missing-glyphs', `${path}.text`, expected, named, 'Replace or leave out these letters.');
  }
  if (design.heightMm > 0 && design.depthMm > 0) return undefined;
  const received = `${design.heightMm} mm high, ${design.depthMm} mm deep`;
  return problem('engraving-size', path, 'a height and a depth above zero', received, 'Give both.');
}

function noLetters({ text }: EngravingDesign, path: string): Problem {
  const expected = 'at least one letter that leaves a mark';
  const advice = 'Write something, or leave the engraving out.';
  return problem('no-letters', `${path}.text`, expected, JSON.stringify(text), advice);
}

function lengthProblems(
  { heightMm }: EngravingDesign,
  { radiusMm, lengthMm }: LaidLine,
  side: EngravedSide,
  path: string,
): Problem[] {
  const available = 2 * Math.PI * radiusMm - heightMm / 2;
  if (lengthMm <= available) return [];
  const expected = `at most ${mm(available)} of letters round the ${side === 'inside' ? 'bore' : 'band'}`;
  const advice = 'Shorten the text or make the letters lower.';
  return [problem('text-too-long', `${path}.text`, expected, mm(lengthMm), advice)];
}

/** Half a letter's height against the radius of its line's tightest bend: beyond it strokes crowd on the inner side. */
const TIGHTEST = 0.35;

function bendProblems(
  design: EngravingDesign,
  { run, radiusMm, atRad, lengthMm, turnAt }: LaidLine,
  path: string,
): Problem[] {
  if (run.extremes.length === 0) return [];
  const heightMm = blockHeight(design);
  const places = Array.from({ length: 201 }, (_, i) => atRad + turnAt(lengthMm * (i / 200 - 0.5)));
  const curvature = (theta: number) =>
    Math.abs(run.bend(theta)) / radiusMm ** 2 / (1 + (run.slope(theta) / radiusMm) ** 2) ** 1.5;
  const theta = places.reduce((a, b) => (curvature(b) > curvature(a) ? b : a));
  const radius = 1 / curvature(theta);
  const least = heightMm / 2 / TIGHTEST;
  if (radius >= least) return [];
  const expected = `a line that bends by at least ${mm(least)} of radius for letters ${mm(heightMm)} high`;
  const advice = 'Make the letters lower, move the line, or let the band or lane swing less.';
  return [problem('letters-too-bent', path, expected, `${mm(radius)} at θ = ${degrees(theta)}`, advice)];
}

type Widths = ReturnType<typeof strokeWidths>;

function strokeProblems({ stroke, web }: Widths, path: string): Problem[] {
  const found: Problem[] = [];
  if (stroke.widthMm < LEAST_STROKE_MM) {
    const expected = `strokes at least ${mm(LEAST_STROKE_MM)} wide`;
    const received = `${mm(stroke.widthMm)} at '${stroke.letter}'`;
    found.push(problem('stroke-too-thin', path, expected, received, 'Use higher letters or the bold font.'));
  }
  if (web.widthMm < LEAST_WEB_MM) {
    const expected = `at least ${mm(LEAST_WEB_MM)} of metal between strokes`;
    const received = `${mm(web.widthMm)} at '${web.letter}'`;
    found.push(problem('web-too-thin', path, expected, received, 'Use higher letters or another font.'));
  }
  return found;
}

/** Depth below the finished surface at the narrowest stroke and at the widest: less than asked where walls meet, mm. */
function depthReached(
  kernel: SolidKernel,
  design: EngravingDesign,
  letters: LetterOutline[],
  strokeMm: number,
): Engraving['reached'] {
  const { slantRad, coverMm } = cutOf(design);
  const slope = Math.tan(slantRad);
  const asked = design.depthMm - coverMm;
  const widest = slope > 0 ? widestHalf(kernel, letters) : 0;
  const floorOf = (halfMm: number) => (slope > 0 ? Math.min(asked, halfMm / slope) : asked);
  return { leastMm: floorOf(strokeMm / 2), mostMm: floorOf(widest) };
}

/** Walls that lean may not reach through their own stroke and the web beside it. */
function slantProblems(
  design: EngravingDesign,
  { stroke, web }: Widths,
  deepMm: number,
  path: string,
): Problem[] {
  const { slantRad } = cutOf(design);
  const reach = deepMm * Math.tan(slantRad);
  if (reach <= stroke.widthMm + web.widthMm) return [];
  const expected = `walls that reach at most ${mm(stroke.widthMm + web.widthMm)} into a stroke, lest they cut into the next`;
  const received = `${mm(reach)} at ${degrees(slantRad)}`;
  const advice = 'Make the walls steeper or the letters shallower.';
  return [problem('walls-too-flat', `${path}.walls`, expected, received, advice)];
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

/** The worst hit of each obstacle that the line runs into. */
function obstructions(obstacles: readonly Obstacle[], points: readonly CutPoint[], path: string): Problem[] {
  return obstacles.flatMap((obstacle) => {
    const worst = points
      .map((p) => ({ p, hit: obstacle(p) }))
      .reduce((a, b) => ((b.hit?.overlapMm ?? 0) > (a.hit?.overlapMm ?? 0) ? b : a), {
        p: points[0],
        hit: undefined,
      });
    if (!worst.hit || worst.hit.overlapMm <= 0) return [];
    const { overlapMm, what } = worst.hit;
    const received = `'${worst.p.letter}' ${mm(overlapMm)} too far at θ = ${degrees(worst.p.theta)}`;
    const advice = 'Move the line ("at", "across"), shorten it or make it lower.';
    return [problem('text-in-the-way', path, `letters clear of ${what}`, received, advice)];
  });
}

/** Least metal left under letters that are cut this deep into the finished surface, and where. */
function thinnestWall(
  design: EngravingDesign,
  { metalUnder }: LetterGround,
  points: readonly CutPoint[],
  deepMm: number,
): Engraving['wall'] {
  const { coverMm } = cutOf(design);
  return points
    .map((p) => ({ mm: metalUnder(p.theta, p.z) - coverMm - deepMm, theta: p.theta }))
    .reduce((a, b) => (b.mm < a.mm ? b : a));
}

function wallProblems(wall: Engraving['wall'], path: string): Problem[] {
  if (wall.mm >= LEAST_WALL_MM) return [];
  const expected = `at least ${mm(LEAST_WALL_MM)} of metal left under the letters`;
  const received = `${mm(wall.mm)} at θ = ${degrees(wall.theta)}`;
  const advice = 'Cut less deep or make the band thicker.';
  return [problem('engraving-too-deep', `${path}.depth`, expected, received, advice)];
}
