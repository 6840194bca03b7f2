/** One page for the bench: what is to be made, in drawings and figures. A4, to be printed at 100 %. */
import type { FacetDesign, ShapeDesign } from '../catalogue/design.ts';
import type { Language } from '../trade/words.ts';
import {
  boreDrawing,
  sectionAngles,
  sectionDrawing,
  UNROLLED_SCALE,
  unrolledDrawing,
} from './bench-drawing.ts';
import type { BandFacts } from './catalogue-schema.ts';
import { escapeHtml } from './index-page.ts';
import { markLines } from './mark-words.ts';
import { messagesOf } from './messages/locale.ts';
import type { BenchMessages } from './messages/messages.ts';
import { sectionWords } from './section-words.ts';
import { cutName, fitSteps } from './wording.ts';

const STYLE = `@page { size: A4 landscape; margin: 9mm; }
* { box-sizing: border-box; }
body { margin: 0; font: 7.2pt/1.3 "Helvetica Neue", Arial, "Liberation Sans", "Open Sans", sans-serif; color: #111; width: 279mm; }
header { display: flex; justify-content: space-between; align-items: baseline; border-bottom: 0.4mm solid #111; padding-bottom: 1mm; }
h1 { font-size: 13pt; margin: 0; } h2 { font-size: 7.4pt; margin: 1.6mm 0 0.5mm; letter-spacing: 0.02em; }
.drawings { display: flex; gap: 4mm; align-items: flex-end; flex-wrap: wrap; margin-top: 1mm; }
.columns { display: grid; grid-template-columns: 174mm 1fr; gap: 6mm; } .halves { display: grid; grid-template-columns: 1fr 1fr; gap: 6mm; align-items: start; }
table { border-collapse: collapse; width: 100%; } td, th { text-align: left; padding: 0.25mm 2mm 0.25mm 0; vertical-align: top; border-bottom: 0.1mm solid #bbb; font-weight: normal; }
th { color: #555; } .failed td { font-weight: bold; }
.checks { font-size: 6pt; line-height: 1.2; } .checks td { padding: 0.15mm 1.5mm 0.15mm 0; } .checks td:nth-child(-n+2) { white-space: nowrap; } .checks td:nth-child(3) { width: 40mm; } .checks td:nth-child(4) { width: 50mm; } ul { margin: 0; padding-left: 3.5mm; font-size: 6pt; line-height: 1.2; columns: 2; margin-right: 4mm; }
svg { display: block; } svg text { font: 2.5px "Helvetica Neue", Arial, "Liberation Sans", "Open Sans", sans-serif; fill: #111; }
.metal { stroke: #111; stroke-width: 0.25; } .m0 { fill: #e9e4d8; } .m1 { fill: #cfd6da; }
.within { stroke-width: 0.35; } .within.m0 { stroke: #e9e4d8; } .within.m1 { stroke: #cfd6da; }
.dim, .help { stroke: #111; stroke-width: 0.13; } .help { stroke: #777; stroke-dasharray: 1 0.6; }
.edge, .seam, .stone { fill: none; stroke: #111; stroke-width: 0.25; } .seam { stroke-width: 0.2; } .stone { stroke-width: 0.13; } .facet { fill: none; stroke: #777; stroke-width: 0.1; }
.bead { fill: none; stroke: #111; stroke-width: 0.1; } .rim { stroke-width: 0.1; } .letters { fill: #111; }
`;

export interface SheetWords {
  workshop: string;
  title: string;
  cautions: readonly string[];
  /** English if left out */
  language?: Language;
}

/** The page as HTML without script or links; the PDF is printed from these very bytes. */
export function benchSheet(band: BandFacts, design: ShapeDesign, words: SheetWords): string {
  const { language = 'en' } = words;
  const say = messagesOf(language).bench;
  const bore = boreSection(design);
  const lines = words.cautions.map((c) => `<li>${escapeHtml(c)}</li>`).join('');
  // in the half that has room: a drawing of the bore fills the one of the drawings
  const cautions = `<h2>${say.cautions}</h2><ul>${lines}</ul>`;
  const metals = band.metals.map(({ lanes }) => lanes);
  const sections = sectionAngles(design).map((theta) => sectionDrawing(design, theta, metals));
  return `<!doctype html>
<html lang="${language}"><head><meta charset="utf-8"><title>${escapeHtml(band.sku)}, ${say.sheet}</title>
<style>${STYLE}</style></head><body>
<header><h1>${escapeHtml(band.sku)}</h1><span>${escapeHtml(`${words.title}, ${Object.values(band.axes).join(', ')}`)}</span><span>${escapeHtml(words.workshop)}</span></header>
<div class="columns"><div>
<div class="drawings">${sections.join('')}</div>
<h2>${say.unrolled(UNROLLED_SCALE)}</h2>
${unrolledDrawing(design)}${bore}
<p style="margin:0">${say.printing}</p>
${bore ? '' : cautions}
</div><div>
<h2>${say.sizes}</h2>${table(sizeRows(band, say))}
<h2>${say.section}</h2>${table(sectionRows(design))}
<h2>${say.metal}</h2>${table(metalRows(band))}
<h2>${say.stones}</h2>${table(stoneRows(band, language))}${markSection(band)}
${fitTable(band)}${bore && cautions}</div></div>
<h2>${say.checks}</h2>${checkTables(band.checks)}
</body></html>
`;
}

function table(rows: readonly (readonly [string, string])[]): string {
  const cells = rows.map(
    ([name, value]) => `<tr><th>${escapeHtml(name)}</th><td>${escapeHtml(value)}</td></tr>`,
  );
  return `<table>${cells.join('')}</table>`;
}

function boreSection(design: ShapeDesign): string {
  const bore = boreDrawing(design);
  return bore && `<h2>Bore unrolled, as seen by one who looks into the ring, ${UNROLLED_SCALE}:1</h2>${bore}`;
}

function markSection({ marks }: BandFacts): string {
  const lines = markLines(marks);
  return lines.length === 0 ? '' : `<h2>Letters, beads and grooves</h2>${table(lines)}`;
}

function sizeRows(band: BandFacts, say: BenchMessages): [string, string][] {
  return [
    [say.bore, say.boreFigures(band.innerDiameterMm.toFixed(2), band.circumferenceMm.toFixed(2))],
    [say.sizes.toLowerCase(), band.sizes.map((s) => s.text).join(', ')],
    [say.widthThickness, `${band.widthMm.toFixed(2)}, ${band.thicknessMm.toFixed(2)}`],
    ...(band.back
      ? [
          [say.atBack, `${band.back.widthMm.toFixed(2)}, ${band.back.thicknessMm.toFixed(2)}`] as [
            string,
            string,
          ],
        ]
      : []),
  ];
}

function sectionRows({ section, lanes, seams }: ShapeDesign): [string, string][] {
  // a groove takes the place of the softening on both sides of its seam
  const grooved = (lane: number) => {
    const own = seams.slice(Math.max(0, lane - 1), lane + 1);
    return own.length > 0 && own.every(({ marks }) => marks?.groove);
  };
  return [
    [section.name, sectionWords(section).join(', ')],
    ...lanes.map((lane, i): [string, string] => [
      lane.name,
      [
        `recess ${lane.recessMm.toFixed(2)}, ${grooved(i) ? 'cut rims' : `R ${lane.softenMm.toFixed(2)}`} at seams`,
        ...(lane.hammer ? [`hammered ${lane.hammer.facetMm} wide, ${lane.hammer.depthMm} deep`] : []),
        ...(lane.facets ? [facetWords(lane.facets)] : []),
        ...(lane.inlay
          ? [`inlay in ${lane.inlay.bed}, floor ${lane.inlay.depthMm.toFixed(2)} below the outside`]
          : []),
      ].join(', '),
    ]),
  ];
}

function facetWords({ count, depthMm, slantRad }: FacetDesign): string {
  const slant = slantRad > 0 ? `, leaning ${((slantRad * 180) / Math.PI).toFixed(1)}° by turns` : '';
  return `${count} facets ${depthMm.toFixed(2)} deep${slant}`;
}

function metalRows(band: BandFacts): [string, string][] {
  const cast = band.caster?.parts ?? [];
  return band.metals.map((metal) => {
    const part = cast.find((p) => p.alloy === metal.alloy);
    const mass = `${metal.massG.toFixed(2)} g finished${part ? `, ${part.castMassG.toFixed(2)} g as cast` : ''}`;
    return [metal.lanes.join(', '), `${metal.name}, approx. ${mass}`];
  });
}

/** A line for each stone of the dress in each row; sizes of one stone stand together. */
function stoneRows(band: BandFacts, language: Language): [string, string][] {
  if (band.rows.length === 0) return [[messagesOf(language).bench.none, '']];
  const kinds = new Map<string, BandFacts['rows']>();
  for (const row of band.rows) {
    const kind = [plainName(row.name), row.label, row.cut].join();
    kinds.set(kind, [...(kinds.get(kind) ?? []), row]);
  }
  return [...kinds.values()].map((rows) => {
    const [{ name, label, cut }] = rows;
    const count = rows.reduce((sum, row) => sum + row.count, 0);
    const carats = rows.reduce((sum, row) => sum + row.carats, 0);
    const sizes = rows.map((row) => `${rows.length > 1 ? `${row.count} of ` : ''}${stoneSize(row)}`);
    return [
      rows.length > 1 ? plainName(name) : name,
      `${count} × ${label}, ${cutName(cut, language)}, ${sizes.join(', ')}, total approx. ${carats.toFixed(2)} ct`,
    ];
  });
}

/** Of a row's name without the size that tells its stones apart. */
const plainName = (name: string) => name.split(' ')[0];

const stoneSize = ({ lengthMm, diameterMm }: BandFacts['rows'][number]) =>
  lengthMm === undefined ? `Ø ${diameterMm}` : `${lengthMm} by ${diameterMm}`;

/** Gaps, walls, and what one stone fewer or more would change. */
function fitTable({ fits = [] }: BandFacts): string {
  if (fits.length === 0) return '';
  const rows = fits.map((fit): [string, string] => {
    const gap = fit.gapMm === null ? 'a single stone' : `gaps ${fit.gapMm.toFixed(3)}`;
    const left = `walls ${fit.wallMm.toFixed(2)}, culets ${fit.underCuletMm.toFixed(2)} above the bore`;
    return [fit.row, [`${fit.count} stones, ${gap}, ${left}`, ...fitSteps(fit)].join('; ')];
  });
  return `<h2>Fit of the stones</h2>${table(rows)}\n`;
}

/** In two halves side by side: a page has room for some sixty. */
function checkTables(checks: BandFacts['checks']): string {
  const half = Math.ceil(checks.length / 2);
  const tables = [checks.slice(0, half), checks.slice(half)].map(
    (part) => `<table class="checks">${part.map(checkRow).join('')}</table>`,
  );
  return `<div class="halves">${tables.join('')}</div>`;
}

function checkRow(check: BandFacts['checks'][number]): string {
  const state = check.passed
    ? 'ok'
    : check.waived
      ? `waived: ${check.waived}`
      : check.severity === 'info'
        ? 'note'
        : 'NOT PASSED';
  const cells = [check.rule.replaceAll('-', ' '), check.measured, check.limit, check.place, state];
  return `<tr${check.passed || state === 'note' ? '' : ' class="failed"'}>${cells.map((c) => `<td>${escapeHtml(c)}</td>`).join('')}</tr>`;
}
