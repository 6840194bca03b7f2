/**
 * Drawings of a band for the bench as SVG with true millimetres: one unit is one millimetre of paper, so the page
 * must be printed at 100 %. Sections are drawn before seats are cut and claws added, hammer marks left out.
 */
import { boreRadius, lanesOf, wholeBand } from '../band/lane.ts';
import { laneSection } from '../band/lane-section.ts';
import { linerLane } from '../band/liner.ts';
import { edgeCurve, flatOutside, isUniform, reachAcross, thicknessAt } from '../band/outline.ts';
import { seamCurve } from '../band/seam.ts';
import { firstWire, strandsOf } from '../band/strand.ts';
import { strandSection } from '../band/strand-mesh.ts';
import type { ShapeDesign } from '../plan/design.ts';
import { FAMILY } from '../plan/typeface.ts';
import { headsOf } from '../setting/engraving.ts';
import { angleWords } from '../words/angle-words.ts';
import { escapeHtml } from '../words/html.ts';
import { type Locale, localeOf } from '../words/locale.ts';
import { drawnText, line, n, svg, tag } from './drawing-parts.ts';
import {
  edgesInBore,
  insideLetters,
  outsideMarks,
  type PaperCoordinates,
  seamsInBore,
} from './mark-drawing.ts';
import { withinMetal } from './section-joints.ts';
import { type PaperPoint, unrolled } from './unrolled.ts';

/** Scale of the unrolled drawing, 2:1. */
export const UNROLLED_SCALE = 2;

/** How the parts of drawings look; for the style of a page that holds some. */
export const DRAWING_STYLE = `svg { display: block; } svg text { font: 2.5px "${FAMILY}", sans-serif; fill: #111; }
.metal { stroke: #111; stroke-width: 0.25; } .m0 { fill: #e9e4d8; } .m1 { fill: #cfd6da; }
.within { stroke-width: 0.35; } .within.m0 { stroke: #e9e4d8; } .within.m1 { stroke: #cfd6da; }
.dim, .help { stroke: #111; stroke-width: 0.13; } .help { stroke: #777; stroke-dasharray: 1 0.6; }
.edge, .seam, .stone { fill: none; stroke: #111; stroke-width: 0.25; } .seam { stroke-width: 0.2; } .stone { stroke-width: 0.13; } .in-bore { stroke-dasharray: 0.5 0.4; } .gap { fill: #fff; stroke: #111; stroke-width: 0.25; } .facet { fill: none; stroke: #777; stroke-width: 0.1; }
.bead { fill: none; stroke: #111; stroke-width: 0.1; } .rim { stroke-width: 0.1; } .letters { fill: #111; stroke: #fff; stroke-width: 0.35; paint-order: stroke; }
`;

/** Scale of sections: 10:1, or 5:1 for wide bands. */
export function sectionScale({ widthMm }: ShapeDesign): 10 | 5 {
  return widthMm <= 8 ? 10 : 5;
}

const ENGLISH = localeOf('en');

/** A dimension along the page's width, its figure over the line. */
function across(x1: number, x2: number, y: number, figure: string): string {
  const ticks = [x1, x2].map((x) => line(x - 0.6, y + 0.6, x + 0.6, y - 0.6, 'dim')).join('');
  return `${line(x1, y, x2, y, 'dim')}${ticks}${drawnText((x1 + x2) / 2, y - 0.7, figure)}`;
}

/**
 * Angles worth a section: the top, or where the first seam that swings stands highest and lowest next to it; of a band
 * whose width or middle line changes top and back.
 */
export function sectionAngles(design: ShapeDesign): number[] {
  if (!isUniform(design)) return [0, Math.PI];
  for (const seam of design.seams) {
    const { z, extremes } = seamCurve(seam);
    // where two pieces of a curve meet both may tell one extreme
    const other = extremes.find((theta) => Math.abs(z(theta) - z(extremes[0])) > LEAST_SWING_MM);
    if (other !== undefined) return [extremes[0], other];
  }
  return [0];
}

/** A seam that swings by less is straight to the eye, mm. */
const LEAST_SWING_MM = 1e-3;

/**
 * Dimensioned section at θ: width across the page, outside up.
 * @param metals names of the lanes of each metal; where one metal meets itself no line is drawn
 */
export function sectionDrawing(
  design: ShapeDesign,
  theta: number,
  metals: readonly (readonly string[])[] = design.lanes.map(({ name }) => [name]),
  locale: Locale = ENGLISH,
  scale: number = sectionScale(design),
): string {
  const mm = (value: number) => locale.number(value, 2);
  const [first, second] = ([-1, 1] as const).map((side) => edgeCurve(design, side).z(theta));
  const widthMm = second - first;
  const thicknessMm = thicknessAt(design, theta).value;
  const bore = boreRadius(design);
  const left = 16;
  const top = 12 + scale * thicknessMm;
  const x = (z: number) => left + scale * (z - first);
  const y = (r: number) => top - scale * (r - bore);
  const lanes = lanesOf(design);
  const metalOf = lanes.map(({ name }) => metals.findIndex((names) => names.includes(name)));
  const tint = (metal: number) => `m${metal % 2}`;
  const strands = strandsOf(design);
  const liner = linerLane(design);
  const drawn = liner ? [liner, ...lanes.slice(1)] : lanes;
  const outlines = drawn.map((lane, i) => {
    const wire = strands?.curves[i - firstWire(design.strands!)];
    const points = wire
      ? strandSection(wire, strands.wireMm, theta)
      : laneSection(lane, theta).flatMap((piece) => {
          const steps = Math.max(1, Math.ceil(piece.turn / 0.05));
          return Array.from({ length: steps }, (_, k) => piece.at(k / steps));
        });
    const path = points.map((p) => `${n(x(p.z))} ${n(y(p.r))}`).join('L');
    return `<path class="metal ${tint(metalOf[i])}" data-lane="${escapeHtml(lane.name)}" d="M${path}Z"/>`;
  });
  const joined = (strands ? [] : withinMetal(design, lanes, metalOf, theta)).map(({ z, fromR, toR, metal }) =>
    line(x(z), y(fromR) - 0.12, x(z), y(toR) + 0.12, `within ${tint(metal)}`),
  );
  // distances of seams, and of crest, corners and risers, from the first edge, one above the other
  const places = [
    ...(strands ? [] : lanes.slice(0, -1).map(({ high }) => high.curve.z(theta))),
    ...sectionPlaces(design, theta),
  ];
  const seams = places.map((z) => z - first);
  const lower = seams.map((at, i) => across(x(first), x(first + at), top + 6 + 5 * i, mm(at)));
  const foot = top + 6 + 5 * seams.length;
  const side = x(first) - 6;
  const thickness = `${line(side, y(bore), side, y(bore + thicknessMm), 'dim')}${drawnText(
    side - 1,
    (y(bore) + y(bore + thicknessMm)) / 2,
    mm(thicknessMm),
    'middle',
    ` transform="rotate(-90 ${n(side - 1)} ${n((y(bore) + y(bore + thicknessMm)) / 2)})"`,
  )}`;
  const levels = [bore, bore + thicknessMm]
    .map((r) => line(side - 1, y(r), x((first + second) / 2), y(r), 'help'))
    .join('');
  const body = `${levels}${outlines.join('')}${joined.join('')}${thickness}${lower.join('')}${across(x(first), x(second), foot, mm(widthMm))}${drawnText(left, 5, locale.messages.bench.sectionAt(angleWords(theta, locale), scale), 'start')}`;
  return svg(left + scale * widthMm + 8, foot + 3, body);
}

/** z of the places that make a section what it is: crest, corners of the chamfers, risers of steps. */
function sectionPlaces(design: ShapeDesign, theta: number): number[] {
  const { bevel, ridge, crestMm } = design.section;
  const { low, high, outer } = wholeBand(design);
  const { pieces } = outer(theta);
  const risers = [low, high].flatMap(({ shoulder, curve }) => (shoulder ? [curve.z(theta)] : []));
  if (bevel) return [...risers, pieces[0].z0, pieces[4].z0].sort((a, b) => a - b);
  const crested = ridge ? [pieces[1].z0] : crestMm === undefined ? [] : [pieces[0].z0];
  return [...risers, ...crested].sort((a, b) => a - b);
}

/** The outside of the band unrolled with its seams, marks and stones, the first edge above and the top in the middle. */
export function unrolledDrawing(
  design: ShapeDesign,
  locale: Locale = ENGLISH,
  s: number = UNROLLED_SCALE,
  dimensioned = true,
): string {
  const band = unrolled(design);
  const left = 4;
  const top = 8;
  const place = ([x, y]: PaperPoint) => `${n(left + s * x)},${n(top + s * y)}`;
  const points = (line: PaperPoint[]) => line.map(place).join(' ');
  const paper: PaperCoordinates = {
    x: (theta) => left + s * band.x(theta),
    y: (z) => top + s * band.y(z),
    scale: s,
  };
  const width = s * band.lengthMm;
  const [first, second] = band.edges;
  const edge = !isUniform(design)
    ? `<polygon class="edge" points="${points([...first, ...second.toReversed()])}"/>`
    : `<rect class="edge" x="${n(left)}" y="${n(top)}" width="${n(width)}" height="${n(s * design.widthMm)}"/>`;
  const foot = top + s * band.widthMm;
  const middle = paper.x(0);
  const drawn = [
    edge,
    ...band.facets.map(
      ({ lane, line }) =>
        `<polyline class="facet" data-lane="${escapeHtml(lane)}" points="${points(line)}"/>`,
    ),
    ...band.seams.map(({ line }) => `<polyline class="seam" points="${points(line)}"/>`),
    ...band.strands.flatMap(({ lane, lines }) =>
      lines.map(
        (line) => `<polyline class="seam" data-lane="${escapeHtml(lane)}" points="${points(line)}"/>`,
      ),
    ),
    ...band.gaps.map((ring) => `<polygon class="gap" points="${points(ring)}"/>`),
    outsideMarks(band, place, paper),
    ...band.stones.map(({ row, number, middle: at, outline, diameterMm, inside }) => {
      const name = escapeHtml(row);
      const girdle = `<polygon class="stone${inside ? ' in-bore' : ''}" data-stone="${name} ${number}" points="${points(outline)}"/>`;
      return girdle + tag(left + s * at[0], top + s * at[1], number, s * diameterMm);
    }),
    ...flatEnds(design).map((theta) => line(paper.x(theta), top, paper.x(theta), foot + 2, 'help')),
    line(middle, top - 2, middle, foot + 2, 'help'),
    drawnText(middle, top - 3, locale.messages.bench.top),
    ...(dimensioned ? [across(left, left + width, foot + 6, locale.number(band.lengthMm, 2))] : []),
  ];
  return svg(width + 8, foot + (dimensioned ? 8 : 2), drawn.join(''));
}

/** Where a flat on top ends. */
function flatEnds(design: ShapeDesign): number[] {
  const corner = flatOutside(design)?.top.corner;
  return corner ? [-1, 1].map((side) => side * Math.atan2(...corner)) : [];
}

/**
 * The bore unrolled as one sees it who looks into the ring, the letters upright in the middle and the edge that they
 * stand towards above; empty for a band without any.
 */
export function boreDrawing(
  design: ShapeDesign,
  locale: Locale = ENGLISH,
  s: number = UNROLLED_SCALE,
  dimensioned = true,
): string {
  const { inside } = design.engraving ?? {};
  if (!inside) return '';
  const radius = boreRadius(design);
  const [lowest, highest] = reachAcross(design);
  const left = 4;
  const top = 8;
  const from = inside.atRad - Math.PI;
  const up = headsOf(inside, 'inside') === 'second' ? 1 : -1;
  const paper: PaperCoordinates = {
    x: (theta: number) => left + s * radius * (Math.PI + up * (theta - inside.atRad)),
    y: (z: number) => top + s * (up === 1 ? highest - z : z - lowest),
    scale: s,
  };
  const width = s * 2 * Math.PI * radius;
  const foot = top + s * (highest - lowest);
  const edge = `<rect class="edge" x="${n(left)}" y="${n(top)}" width="${n(width)}" height="${n(s * (highest - lowest))}"/>`;
  const middle = paper.x(inside.atRad);
  const { top: atTop, opposite } = locale.messages.bench;
  const angle = angleWords(inside.atRad, locale);
  const where = angle === '180°' ? opposite : angle === '0°' ? atTop : angle;
  const body = `${design.outline ? edgesInBore(design, paper, from) : edge}${seamsInBore(design, paper, from)}${insideLetters(design, paper)}${line(middle, top - 2, middle, top, 'help')}${drawnText(middle, top - 3, where)}${dimensioned ? across(left, left + width, foot + 6, locale.number(2 * Math.PI * radius, 2)) : ''}`;
  return svg(width + 8, foot + (dimensioned ? 8 : 2), body);
}
