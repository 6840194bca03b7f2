/** One page for the bench: what is to be made, in drawings and figures. A4, to be printed at 100 %. */

import { lanesOf } from '../band/lane.ts';
import { reliefStretch } from '../band/motif.ts';
import { flatOutside, widthCurve } from '../band/outline.ts';
import { closingStretch } from '../band/picture-relief.ts';
import { firstWire, strandsOf } from '../band/strand.ts';
import { cellsRound } from '../band/texture.ts';
import type { BandFacts } from '../facts/catalogue-schema.ts';
import { checkState } from '../facts/verdict.ts';
import { cutName, fitSteps, rowName, setFrom, sideOfRow } from '../facts/wording.ts';
import type { FacetDesign, ShapeDesign } from '../plan/design.ts';
import type { StrandsDesign } from '../plan/strands-design.ts';
import { FAMILY, fontFaces } from '../plan/typeface.ts';
import type { BenchRuleName } from '../trade/bench-limits.ts';
import type { Market } from '../trade/market.ts';
import { type Language, tradeWords } from '../trade/words.ts';
import { escapeHtml, hashOf } from '../words/html.ts';
import { type Locale, localeOf } from '../words/locale.ts';
import { markLines } from '../words/mark-words.ts';
import { sectionWords } from '../words/section-words.ts';
import {
  boreDrawing,
  DRAWING_STYLE,
  sectionAngles,
  sectionDrawing,
  UNROLLED_SCALE,
  unrolledDrawing,
} from './bench-drawing.ts';
import { faceDrawing, facesWithStones } from './face-drawing.ts';
import { measuresSection } from './measures-section.ts';
import { sheetTable, stoneSize } from './sheet-table.ts';
import type { OwnBench } from './stone-list.ts';

const STYLE = `@page { size: A4 landscape; margin: 7mm 9mm; }
* { box-sizing: border-box; }
body { margin: 0; font: 7.2pt/1.3 "${FAMILY}", sans-serif; color: #111; width: 279mm; }
header { display: flex; justify-content: space-between; align-items: baseline; border-bottom: 0.4mm solid #111; padding-bottom: 1mm; }
h1 { font-size: 13pt; margin: 0; } .printing { margin: 0; } h2 { font-size: 7.4pt; margin: 1mm 0 0.4mm; letter-spacing: 0.02em; }
.drawings { display: flex; gap: 4mm; align-items: flex-end; flex-wrap: wrap; margin-top: 1mm; }
.drawings figure { margin: 0; } .columns { display: grid; grid-template-columns: 174mm 1fr; gap: 6mm; } .halves { columns: 2; column-gap: 6mm; }
table { border-collapse: collapse; width: 100%; } td, th { text-align: left; padding: 0.25mm 2mm 0.25mm 0; vertical-align: top; border-bottom: 0.1mm solid #bbb; font-weight: normal; }
th { color: #555; min-width: 18mm; } .failed td { font-weight: bold; }
.second { margin-top: 1mm; } ul { break-inside: avoid; } h3 { font-size: 7.2pt; margin: 0.6mm 0 0.2mm; } .grid { width: auto; } .grid td, .grid th { text-align: right; min-width: 9mm; padding-right: 3mm; } .grid td:first-child, .grid th:first-child { text-align: left; } .measures { margin-top: 1mm; line-height: 1.2; } .works { display: grid; grid-auto-flow: column; grid-template-columns: max-content; gap: 8mm; } .measures table { break-inside: avoid; } h2, h3 { break-after: avoid; } .measures > h2:first-child { font-size: 8.4pt; } .measures th { width: 26mm; } .grid th, .grid td { width: auto; } .places { display: flex; gap: 8mm; align-items: flex-start; } .checks { line-height: 1.2; table-layout: fixed; } .checks tr { break-inside: avoid; } .checks td:nth-child(1) { width: 27mm; } .checks td:nth-child(2) { width: 16mm; } .checks td:nth-child(3) { width: 42mm; } .checks td:nth-child(5) { width: 16mm; padding-right: 0; } ul { margin: 0; padding-left: 1.5mm; line-height: 1.2; columns: 3; column-gap: 6mm; } li { break-inside: avoid; list-style: none; text-indent: -1.5mm; } li::before { content: '·\\00a0'; }
${DRAWING_STYLE}`;

export interface SheetWords {
  workshop: string;
  title: string;
  /** number of the order that the band is made for */
  order?: string;
  cautions: readonly string[];
  /** English if left out */
  language?: Language;
  market?: Market;
  own?: OwnBench;
}

/** The page as HTML without script or links; the PDF is printed from these very bytes. */
export function benchSheet(band: BandFacts, design: ShapeDesign, words: SheetWords): string {
  const locale = localeOf(words.language ?? 'en', words.market);
  const say = locale.messages.bench;
  const bore = boreSection(design, locale);
  const { setter, caster } = say.hands;
  const hands = [...(band.stoneCount > 0 ? [setter] : []), caster];
  const lines = [...words.cautions, ...hands].map((c) => `<li>${escapeHtml(c)}</li>`).join('');
  const cautions = `<h2>${say.cautions}</h2><ul>${lines}</ul>`;
  const metals = band.metals.map(({ lanes }) => lanes);
  const sections = sectionAngles(design).map((theta) => sectionDrawing(design, theta, metals, locale));
  const ordered = words.order === undefined ? [] : [`${locale.messages.proof.order} ${words.order}`];
  const named = [...ordered, words.title, ...Object.values(band.axes)];
  const body = `<header><h1>${escapeHtml(band.sku)}</h1><span>${escapeHtml(named.join(', '))}</span><span>${escapeHtml(words.workshop)}</span></header>
<div class="columns"><div>
<div class="drawings">${sections.join('')}</div>
<h2>${say.unrolled(UNROLLED_SCALE)}</h2>
${unrolledDrawing(design, locale)}${bore}${faceSection(design, locale)}
<p class="printing">${say.printing}</p>
</div><div>
<h2>${say.sizes}</h2>${sheetTable(sizeRows(band, locale))}
<h2>${say.section}</h2>${sheetTable(sectionRows(design, locale))}
<h2>${say.metal}</h2>${sheetTable(metalRows(band, locale))}
<h2>${say.stones}</h2>${sheetTable(stoneRows(band, locale))}${markSection(band, locale)}
${fitTable(band, locale)}</div></div>
${measuresSection(band, design, words.own ?? {}, locale)}
${cautions}
<section class="second"><h2>${escapeHtml(band.sku)}: ${say.checks}</h2>${checkTable(band.checks, locale)}</section>`;
  // set in the typeface of the proofs, so that a page holds as much on every machine
  const style = `${fontFaces(`${body.replace(/<[^>]+>/g, ' ')} ·`)}\n${STYLE}`;
  return `<!doctype html>
<html lang="${locale.tag}"><head><meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; font-src data:; style-src '${hashOf(style)}'; base-uri 'none'; form-action 'none'">
<title>${escapeHtml(band.sku)}, ${say.sheet}</title>
<style>${style}</style></head><body>
${body}
</body></html>
`;
}

function boreSection(design: ShapeDesign, locale: Locale): string {
  const bore = boreDrawing(design, locale);
  return bore && `<h2>${locale.messages.bench.boreUnrolled(UNROLLED_SCALE)}</h2>${bore}`;
}

function faceSection(design: ShapeDesign, locale: Locale): string {
  const { faceSeen } = locale.messages.bench;
  const faces = facesWithStones(design).map((edge) => {
    const drawing = faceDrawing(design, edge, locale, UNROLLED_SCALE);
    return `<figure><figcaption>${faceSeen(edge, UNROLLED_SCALE)}</figcaption>${drawing}</figure>`;
  });
  return faces.length === 0 ? '' : `<div class="drawings faces">${faces.join('')}</div>`;
}

function markSection({ marks }: BandFacts, locale: Locale): string {
  const lines = markLines(marks, locale);
  return lines.length === 0 ? '' : `<h2>${locale.messages.bench.marks}</h2>${sheetTable(lines)}`;
}

function sizeRows(band: BandFacts, { messages, number }: Locale): [string, string][] {
  const say = messages.bench;
  const mm = (value: number) => number(value, 2);
  const rows: [string, string][] = [
    [say.bore, say.boreFigures(mm(band.innerDiameterMm), mm(band.circumferenceMm))],
    [say.sizeNames, band.sizes.map((s) => s.text).join(', ')],
    [say.widthThickness, `${mm(band.widthMm)} × ${mm(band.thicknessMm)}`],
  ];
  if (band.outline) {
    const { leastWidthMm, mostWidthMm, fromZMm, toZMm } = band.outline;
    rows.push([say.outline, say.outlineFigures(mm(leastWidthMm), mm(mostWidthMm), mm(toZMm - fromZMm))]);
  }
  if (band.back) rows.push([say.atBack, `${mm(band.back.widthMm)} × ${mm(band.back.thicknessMm)}`]);
  return rows;
}

function flatRows(design: ShapeDesign, { messages, number }: Locale): [string, string][] {
  const { flat } = design;
  const top = flatOutside(design)?.top;
  if (!flat || !top) return [];
  const mm = (value: number) => number(value, 2);
  const [length, radius] = [mm(flat.lengthMm), mm(flat.edgeMm)];
  const width = mm(widthCurve(design).z(0));
  return [[messages.bench.flat, messages.bench.flatFigures(length, width, mm(top.heightMm), radius)]];
}

function sectionRows(design: ShapeDesign, locale: Locale): [string, string][] {
  const { section, lanes, seams } = design;
  const { bench } = locale.messages;
  const say = bench.lanes;
  const mm = (value: number) => locale.number(value, 2);
  // a groove takes the place of the softening on both sides of its seam
  const grooved = (lane: number) => {
    const own = seams.slice(Math.max(0, lane - 1), lane + 1);
    return own.length > 0 && own.every(({ marks }) => marks?.groove);
  };
  return [
    ...(design.strands
      ? [[bench.strands.title, strandWords(design, design.strands, locale)] as [string, string]]
      : [[bench.sections[section.name], sectionWords(section, locale).join(', ')] as [string, string]]),
    ...flatRows(design, locale),
    ...(design.strands ? [] : lanes).map((lane, i): [string, string] => [
      lane.name,
      [
        say.recess(mm(lane.recessMm)),
        grooved(i) ? say.cutRims : say.softened(mm(lane.softenMm)),
        ...(lane.hammer
          ? [say.hammered(locale.number(lane.hammer.facetMm, 0, 3), locale.number(lane.hammer.depthMm, 0, 3))]
          : []),
        ...textureWords(design, i, locale),
        ...(lane.facets ? facetWords(lane.facets, locale) : []),
        ...(lane.inlay ? [say.inlay(lane.inlay.bed, mm(lane.inlay.depthMm))] : []),
      ].join(', '),
    ]),
  ];
}

function strandWords(
  design: ShapeDesign,
  { kind, hand, turns, between, liner }: StrandsDesign,
  locale: Locale,
) {
  const { strands: say } = locale.messages.bench;
  const mm = (value: number) => locale.number(value, 2);
  const { wireMm = 0 } = strandsOf(design) ?? {};
  return [
    say[kind](design.lanes.length - firstWire({ liner }), mm(wireMm)),
    say.turns(turns),
    say[hand],
    between.kind === 'clear' ? say.clear(mm(between.leastMm)) : say.joined,
    ...(liner ? [say.liner(mm(liner.thicknessMm), mm(liner.marginMm), mm(liner.edgeMm))] : []),
  ].join(', ');
}

function textureWords(shape: ShapeDesign, lane: number, locale: Locale): string[] {
  const { texture } = shape.lanes[lane];
  if (!texture) return [];
  const say = locale.messages.bench.lanes;
  const { textures } = tradeWords(locale.language);
  const mm = (value: number) => locale.number(value, 2);
  const words = say.textured(textures[texture.pattern], mm(texture.sizeMm), mm(texture.depthMm));
  const drawn = texture.motif ?? texture.picture;
  if (!drawn) return [words];
  const built = lanesOf(shape)[lane];
  const closing = texture.picture
    ? closingStretch(built, texture.picture, cellsRound(built.outer, texture))
    : 0;
  const { along, across } = reliefStretch(built, drawn.heightMm, closing);
  const percent = (share: number) => `${share < 0 ? '−' : '+'}${locale.number(Math.abs(100 * share), 1)} %`;
  const { heightMm, raised } = drawn;
  return [words, say.motif(mm(heightMm), raised, percent(along), percent(across))];
}

function facetWords({ count, depthMm, slantRad }: FacetDesign, { messages, number }: Locale): string[] {
  const say = messages.bench.lanes;
  const slant = slantRad > 0 ? [say.leaning(`${number((slantRad * 180) / Math.PI, 1)}°`)] : [];
  return [say.facets(count, number(depthMm, 2)), ...slant];
}

function metalRows(band: BandFacts, { messages, number }: Locale): [string, string][] {
  const cast = band.caster?.parts ?? [];
  return band.metals.map((metal) => {
    const part = cast.find((p) => p.alloy === metal.alloy);
    const asCast = part && number(part.castMassG, 2);
    return [metal.lanes.join(', '), messages.bench.mass(metal.name, number(metal.massG, 2), asCast)];
  });
}

/** A line for each stone of the dress in each row; sizes of one stone stand together. */
function stoneRows(band: BandFacts, locale: Locale): [string, string][] {
  const say = locale.messages.bench;
  if (band.rows.length === 0) return [[say.none, '']];
  const kinds = new Map<string, BandFacts['rows']>();
  for (const row of band.rows) {
    const kind = [rowName(row.name), row.label, row.cut, row.inside, row.face].join();
    kinds.set(kind, [...(kinds.get(kind) ?? []), row]);
  }
  return [...kinds.values()].map((rows) => {
    const [first] = rows;
    const { name, label, cut } = first;
    const count = rows.reduce((sum, row) => sum + row.count, 0);
    const carats = rows.reduce((sum, row) => sum + row.carats, 0);
    const sizes = rows.map((row) =>
      rows.length > 1 ? say.countOf(row.count, stoneSize(row, locale)) : stoneSize(row, locale),
    );
    const cutWord = cutName(cut, locale.language);
    const line = say.stoneLine(count, label, cutWord, sizes.join(', '), locale.number(carats, 2));
    return [rows.length > 1 ? rowName(name) : name, setFrom(line, first, locale)];
  });
}

/** Gaps, walls, and what one stone fewer or more would change. */
function fitTable(band: BandFacts, locale: Locale): string {
  const { fits = [] } = band;
  if (fits.length === 0) return '';
  const { fit: heading, fitWords: say } = locale.messages.bench;
  const rows = fits.map((fit): [string, string] => {
    const now = [
      say.stones(fit.count),
      fit.gapMm === null ? say.single : say.gaps(locale.number(fit.gapMm, 3)),
      say.walls(locale.number(fit.wallMm, 2)),
      say.culets(locale.number(fit.underCuletMm, 2), sideOfRow(band, fit.row)),
    ];
    return [fit.row, [now.join(', '), ...fitSteps(fit, locale)].join('; ')];
  });
  return `<h2>${heading}</h2>${sheetTable(rows)}\n`;
}

/** In two columns of one height: a page has room for some sixty. */
function checkTable(checks: BandFacts['checks'], locale: Locale): string {
  const rows = checks.map((check) => checkRow(check, locale));
  return `<div class="halves"><table class="checks">${rows.join('')}</table></div>`;
}

function checkRow(check: BandFacts['checks'][number], { language, messages }: Locale): string {
  const { passed, note, notPassed, waived } = messages.bench;
  const said = { passed, note, waived: waived(check.waived ?? ''), failed: notPassed };
  const state = said[checkState(check)];
  const rule = tradeWords(language).rules[check.rule as BenchRuleName] ?? check.rule.replaceAll('-', ' ');
  const cells = [rule, check.measured, check.limit, check.place, state];
  return `<tr${check.passed || state === note ? '' : ' class="failed"'}>${cells.map((c) => `<td>${escapeHtml(c)}</td>`).join('')}</tr>`;
}
