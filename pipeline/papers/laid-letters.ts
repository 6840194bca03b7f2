import type { Lane } from '../band/lane.ts';
import type { SeamCurve } from '../band/seam-curve.ts';
import type { EngravingDesign } from '../plan/engraving-design.ts';
import { type LaidLine, layLine, placeOnLine } from '../setting/engraving.ts';

/** Outlines of a line of letters on the band: angles within one turn about its middle, places across in mm. */
export interface LaidLetters {
  line: LaidLine;
  contours: { theta: number; z: number }[][];
}

/** Chord tolerance of drawn letters, mm. */
const LETTER_CHORD_MM = 0.005;

/** Undefined where there is no text. An outside line's middle is told from −180° to 180°. */
export function laidLetters(
  engraving: EngravingDesign,
  side: 'inside' | 'outside',
  surface: Lane['outer'],
  run: SeamCurve,
): LaidLetters | undefined {
  const line = layLine(engraving, side, surface, run, LETTER_CHORD_MM);
  if (!line) return undefined;
  const turn = engraving.atRad - 2 * Math.PI * Math.round(engraving.atRad / (2 * Math.PI));
  const laid = { ...line.laid, atRad: side === 'inside' ? engraving.atRad : turn };
  const contours = line.letters.flatMap((letter) =>
    letter.contours.map((contour) => contour.map((p) => placeOnLine(laid, p))),
  );
  return { line: laid, contours };
}
