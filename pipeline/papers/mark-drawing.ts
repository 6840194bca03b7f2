/** Letters, beads and grooves as parts of the unrolled drawings. */
import { type Lane, laneMiddle, lanesOf } from '../band/lane.ts';
import { boreSurface } from '../band/outside.ts';
import { midRadius } from '../band/profile.ts';
import type { ShapeDesign } from '../plan/design.ts';
import { type LaidLine, layLine, placeOnLine } from '../setting/engraving.ts';
import { planSeamMarks } from '../setting/seam-marks.ts';

/** Paper coordinates of an angle and of a place across the band, mm. */
export interface Paper {
  x(theta: number): number;
  y(z: number): number;
  scale: number;
}

const n = (x: number) => String(Number(x.toFixed(3)));
const STEPS = 720;
/** Chord tolerance of drawn letters, mm. */
const LETTER_CHORD_MM = 0.005;

/** Everything that is seen from outside. */
export function outsideMarks(design: ShapeDesign, lanes: Lane[], paper: Paper): string {
  const { grooves, milgrains } = planSeamMarks(design, lanes);
  const rims = grooves.flatMap(({ design: { widthMm }, lanes: [lane] }) =>
    [-0.5, 0.5].map((side) => {
      const { curve } = lane.high;
      const points = Array.from({ length: STEPS + 1 }, (_, i) => {
        const theta = -Math.PI + (2 * Math.PI * i) / STEPS;
        const lean = Math.hypot(1, curve.slope(theta) / midRadius(lane.outer));
        return `${n(paper.x(theta))},${n(paper.y(curve.z(theta) + side * widthMm * lean))}`;
      });
      return `<polyline class="seam rim" points="${points.join(' ')}"/>`;
    }),
  );
  const beads = milgrains.flatMap(({ design: { beadMm }, frames }) =>
    frames.map(({ origin: [bx, by, z] }) => {
      const at = `cx="${n(paper.x(Math.atan2(bx, by)))}" cy="${n(paper.y(z))}"`;
      return `<circle class="bead" ${at} r="${n((paper.scale * beadMm) / 2)}"/>`;
    }),
  );
  const { outside } = design.engraving ?? {};
  const lane = lanes.find(({ name }) => name === outside?.lane);
  const letters =
    outside && lane
      ? lettersPath(outside, 'outside', lane.outer, laneMiddle(lane, outside.atRad).z, paper)
      : '';
  return [...rims, ...beads, letters].join('');
}

/** Letters of the bore as its reader sees them; `paper.y` must grow towards −z. */
export function insideLetters(design: ShapeDesign, paper: Paper): string {
  const { inside } = design.engraving ?? {};
  return inside ? lettersPath(inside, 'inside', boreSurface(design), 0, paper) : '';
}

function lettersPath(
  engraving: NonNullable<NonNullable<ShapeDesign['engraving']>['inside']>,
  side: 'inside' | 'outside',
  surface: Lane['outer'],
  middleMm: number,
  paper: Paper,
): string {
  const line = layLine(engraving, side, surface, middleMm, LETTER_CHORD_MM);
  if (!line) return '';
  const turn = engraving.atRad - 2 * Math.PI * Math.round(engraving.atRad / (2 * Math.PI));
  const laid = { ...line.laid, atRad: side === 'inside' ? engraving.atRad : turn };
  const path = line.letters.flatMap(({ contours }) =>
    contours.map((contour) => {
      const points = contour.map((p) => {
        const { theta, z } = placeOnLine(laid, p);
        return `${n(paper.x(theta))} ${n(paper.y(z))}`;
      });
      return `M${points.join('L')}Z`;
    }),
  );
  const drawn = `<path class="letters" d="${path.join('')}"/>`;
  return side === 'inside' ? drawn : wrapped(drawn, laid, paper);
}

/** Letters that run over an end of the unrolled outside go on at its other end. */
function wrapped(drawn: string, { atRad, lengthMm, radiusMm }: LaidLine, paper: Paper): string {
  const half = lengthMm / 2 / radiusMm;
  if (Math.abs(atRad) + half <= Math.PI) return drawn;
  const [from, to] = [paper.x(-Math.PI), paper.x(Math.PI)];
  const width = to - from;
  const again = `<g transform="translate(${n(atRad > 0 ? -width : width)} 0)">${drawn}</g>`;
  return `<svg x="${n(from)}" y="0" width="${n(width)}" height="999" viewBox="${n(from)} 0 ${n(width)} 999">${drawn}${again}</svg>`;
}

/** Seams as they come out in the bore, over one turn from an angle. */
export function seamsInBore(design: ShapeDesign, paper: Paper, from: number): string {
  return lanesOf(design)
    .slice(0, -1)
    .map(({ high }) => {
      const points = Array.from({ length: STEPS + 1 }, (_, i) => {
        const theta = from + (2 * Math.PI * i) / STEPS;
        return `${n(paper.x(theta))},${n(paper.y(high.curve.z(theta)))}`;
      });
      return `<polyline class="seam" points="${points.join(' ')}"/>`;
    })
    .join('');
}
