/** Letters, beads and grooves as parts of the unrolled drawings. */
import { lanesOf } from '../band/lane.ts';
import { edgeCurve } from '../band/outline.ts';
import { boreSurface } from '../band/outside.ts';
import type { SeamCurve } from '../band/seam-curve.ts';
import type { ShapeDesign } from '../plan/design.ts';
import type { LaidLine } from '../setting/engraving.ts';
import { letterRun } from '../setting/letter-run.ts';
import { type LaidLetters, laidLetters } from './laid-letters.ts';
import type { PaperPoint, Unrolled } from './unrolled.ts';

/** Paper coordinates of an angle and of a place across the band, mm. */
export interface PaperCoordinates {
  x(theta: number): number;
  y(z: number): number;
  scale: number;
}

const n = (x: number) => String(Number(x.toFixed(3)));
const STEPS = 720;

/** Everything that is seen from outside. `place`: of the unrolled band on the paper. */
export function outsideMarks(
  band: Unrolled,
  place: (p: PaperPoint) => string,
  paper: PaperCoordinates,
): string {
  const rims = band.rims.map((line) => `<polyline class="seam rim" points="${line.map(place).join(' ')}"/>`);
  const beads = band.beads.map(({ middle, radius }) => {
    const [x, y] = place(middle).split(',');
    return `<circle class="bead" cx="${x}" cy="${y}" r="${n(paper.scale * radius)}"/>`;
  });
  const { letters } = band;
  const drawn = letters ? wrapped(lettersPath(letters, paper), letters.line, paper) : '';
  return [...rims, ...beads, drawn].join('');
}

/** Letters of the bore as its reader sees them; `paper.y` must grow towards −z. */
export function insideLetters(design: ShapeDesign, paper: PaperCoordinates): string {
  const { inside } = design.engraving ?? {};
  const letters = inside && laidLetters(inside, 'inside', boreSurface(design), letterRun(design, inside));
  return letters ? lettersPath(letters, paper) : '';
}

function lettersPath({ contours }: LaidLetters, paper: PaperCoordinates): string {
  const path = contours.map((contour) => {
    const points = contour.map(({ theta, z }) => `${n(paper.x(theta))} ${n(paper.y(z))}`);
    return `M${points.join('L')}Z`;
  });
  return `<path class="letters" d="${path.join('')}"/>`;
}

/** Letters that run over an end of the unrolled outside go on at its other end. */
function wrapped(drawn: string, { atRad, lengthMm, radiusMm }: LaidLine, paper: PaperCoordinates): string {
  const half = lengthMm / 2 / radiusMm;
  if (Math.abs(atRad) + half <= Math.PI) return drawn;
  const [from, to] = [paper.x(-Math.PI), paper.x(Math.PI)];
  const width = to - from;
  const again = `<g transform="translate(${n(atRad > 0 ? -width : width)} 0)">${drawn}</g>`;
  return `<svg x="${n(from)}" y="0" width="${n(width)}" height="999" viewBox="${n(from)} 0 ${n(width)} 999">${drawn}${again}</svg>`;
}

/** Seams as they come out in the bore, over one turn from an angle. */
export function seamsInBore(design: ShapeDesign, paper: PaperCoordinates, from: number): string {
  return lanesOf(design)
    .slice(0, -1)
    .map(({ high }) => lineInBore('seam', high.curve, paper, from))
    .join('');
}

/** Both edges of a band that run as its outline says. */
export function edgesInBore(design: ShapeDesign, paper: PaperCoordinates, from: number): string {
  return ([-1, 1] as const).map((side) => lineInBore('edge', edgeCurve(design, side), paper, from)).join('');
}

function lineInBore(kind: 'seam' | 'edge', curve: SeamCurve, paper: PaperCoordinates, from: number): string {
  const points = Array.from({ length: STEPS + 1 }, (_, i) => {
    const theta = from + (2 * Math.PI * i) / STEPS;
    return `${n(paper.x(theta))},${n(paper.y(curve.z(theta)))}`;
  });
  return `<polyline class="${kind}" points="${points.join(' ')}"/>`;
}
