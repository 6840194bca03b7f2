/** The paper that goes with one order through the workshop: both bands, what is handed out and back, who did what. A4. */
import type { BandFacts } from '../facts/catalogue-schema.ts';
import type { ShapeDesign } from '../plan/design.ts';
import { FAMILY, fontFaces } from '../plan/typeface.ts';
import { namesOfTwo } from '../words/couple-names.ts';
import { escapeHtml, hashOf } from '../words/html.ts';
import type { Locale } from '../words/locale.ts';
import { markLines } from '../words/mark-words.ts';
import type { TicketMessages } from '../words/ticket-words.ts';
import {
  boreDrawing,
  DRAWING_STYLE,
  sectionAngles,
  sectionDrawing,
  unrolledDrawing,
} from './bench-drawing.ts';
import { faceDrawing, facesWithStones } from './face-drawing.ts';
import { type SheetRow, sheetTable, stoneSize } from './sheet-table.ts';
import { type OwnBench, stonesToOrder } from './stone-list.ts';

export interface TicketBand {
  facts: BandFacts;
  /** with the order's letters */
  design: ShapeDesign;
  /** as the client says it */
  size?: string;
  /** names of the caster's files of this very band */
  files: readonly string[];
  /** its bench sheet's file, if there is one */
  sheet?: string;
}

export interface JobTicket {
  workshop: string;
  order: string;
  names: string;
  /** ISO 8601 dates */
  issued?: string;
  delivery?: string;
  notes?: string;
  bands: readonly TicketBand[];
  cautions: readonly string[];
  own: OwnBench;
}

/** Of sections: two bands stand side by side. */
const SECTION_SCALE = 5;

const STYLE = `@page { size: A4; margin: 10mm 12mm; }
* { box-sizing: border-box; }
body { margin: 0 auto; font: 7.6pt/1.35 "${FAMILY}", sans-serif; color: #111; max-width: 186mm; }
header { display: flex; justify-content: space-between; align-items: baseline; gap: 6mm; border-bottom: 0.4mm solid #111; padding-bottom: 1.2mm; }
h1, header h2 { font-size: 15pt; margin: 0; font-weight: 700; white-space: nowrap; } h2 { font-size: 9pt; margin: 3mm 0 0.8mm; break-after: avoid; } h3 { font-size: 7.6pt; margin: 1.6mm 0 0; font-weight: 600; }
.kind { font-weight: 600; } .due { font-size: 9pt; font-weight: 600; } .under { margin: 0.8mm 0 0; color: #555; font-size: 7pt; }
.bands { display: grid; grid-template-columns: 1fr 1fr; gap: 6mm; } .bands.one { grid-template-columns: 1fr; }
.band { min-width: 0; overflow-wrap: anywhere; } .band h2 { font-size: 10.5pt; } .drawings { display: flex; flex-wrap: wrap; gap: 2mm; align-items: flex-end; }
.stone { fill: #fff; } .tag { display: none; }
table { border-collapse: collapse; width: 100%; } td, th { text-align: left; vertical-align: top; padding: 0.5mm 2mm 0.5mm 0; border-bottom: 0.1mm solid #bbb; font-weight: normal; }
th { color: #444; min-width: 22mm; } .letters td { font-weight: 600; }
.lined th { min-width: 0; vertical-align: bottom; font-size: 7pt; } .lined td, .lined th { border: 0.15mm solid #777; padding: 0.9mm 1.2mm; } .lined td { height: 8mm; } .lined tr { break-inside: avoid; } .lined .figure { text-align: right; white-space: nowrap; }
.work td:first-child { width: 45%; }
p { margin: 0; } .second { break-before: page; } section { break-inside: avoid; } section.second { break-inside: auto; } .cautions ul { margin: 0; padding-left: 3mm; columns: 2; column-gap: 6mm; font-size: 7pt; line-height: 1.28; } .cautions li { break-inside: avoid; }
${DRAWING_STYLE}`;

/** The page as HTML without script or links; the PDF is printed from these very bytes. */
export function jobTicket(ticket: JobTicket, locale: Locale): string {
  const say = locale.messages.ticket;
  const { proof } = locale.messages;
  const headings = headingsOf(ticket, locale);
  const due = [
    ...(ticket.issued ? [`${proof.issued} ${locale.date(ticket.issued)}`] : []),
    ...(ticket.delivery ? [`${proof.delivery} ${locale.date(ticket.delivery)}`] : []),
  ]
    .map(escapeHtml)
    .join('<br>');
  const head = (n: 1 | 2) =>
    `<header><h${n}>${escapeHtml(say.title(ticket.order))}</h${n}><span>${escapeHtml(ticket.names)}</span><span class="due">${due}</span><span class="kind">${escapeHtml(ticket.workshop)}<br>${escapeHtml(`${say.kind} ${n}/2`)}</span></header>`;
  const bands = ticket.bands.map((band, i) => bandColumn(band, headings[i], locale));
  const hands = locale.messages.bench.hands;
  const set = ticket.bands.some(({ facts }) => facts.stoneCount > 0);
  const cautions = [...(set ? [hands.setter] : []), hands.caster, ...ticket.cautions];
  const body = `<main>${head(1)}
<div class="bands${bands.length > 1 ? '' : ' one'}">${bands.join('')}</div>
${ticket.notes ? `<section><h2>${escapeHtml(say.notes)}</h2><p>${escapeHtml(ticket.notes)}</p></section>` : ''}<p class="under">${escapeHtml(say.printing)}</p>
<section class="second">${head(2)}
<section><h2>${escapeHtml(say.handed)}</h2>${stoneTable(ticket, headings, locale)}</section>
<section><h2>${escapeHtml(say.weights)}</h2>${weightTable(ticket, headings, locale)}<p class="under">${escapeHtml(say.expected)}</p></section>
<section><h2>${escapeHtml(say.steps)}</h2>${workTable(ticket, headings, locale)}</section>
<section class="cautions"><h2>${escapeHtml(say.cautions)}</h2><ul>${cautions.map((c) => `<li>${escapeHtml(c)}</li>`).join('')}</ul></section></section></main>`;
  const style = `${fontFaces(body.replace(/<[^>]+>/g, ' '))}\n${STYLE}`;
  return `<!doctype html>
<html lang="${locale.tag}"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><meta name="robots" content="noindex">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; font-src data:; style-src '${hashOf(style)}'; base-uri 'none'; form-action 'none'">
<title>${escapeHtml(`${say.kind}, ${say.title(ticket.order)}`)}</title>
<style>${style}</style></head><body>
${body}
</body></html>
`;
}

function headingsOf({ names, bands }: JobTicket, { messages }: Locale): string[] {
  const say = messages.proof;
  if (bands.length === 1) return [say.onlyBand];
  return namesOfTwo(names)?.map(say.bandFor) ?? [...say.band];
}

function bandColumn(
  { facts, design, size, files, sheet }: TicketBand,
  heading: string,
  locale: Locale,
): string {
  const { ticket: say, bench, proof } = locale.messages;
  const mm = (value: number) => locale.number(value, 2);
  const metals = facts.metals.map(({ lanes }) => lanes);
  const sections = sectionAngles(design).map((theta) =>
    sectionDrawing(design, theta, metals, locale, SECTION_SCALE),
  );
  const bore = boreDrawing(design, locale, 1);
  const marks = markLines(facts.marks, locale);
  const faces = facesWithStones(design).map(
    (edge) => `<h3>${escapeHtml(bench.faceSeen(edge, 1))}</h3>${faceDrawing(design, edge, locale, 1)}`,
  );
  const rows: SheetRow[] = [
    [proof.article, facts.sku],
    [proof.size, [...new Set([...(size ? [size] : []), ...facts.sizes.map((s) => s.text)])].join(', ')],
    [bench.bore, bench.boreFigures(mm(facts.innerDiameterMm), mm(facts.circumferenceMm))],
    [bench.widthThickness, `${mm(facts.widthMm)} × ${mm(facts.thicknessMm)}`],
    ...facts.metals.map(({ name, lanes }): SheetRow => [bench.metal, `${name}: ${lanes.join(', ')}`]),
    ...(sheet ? [[say.sheet, sheet] as const] : []),
    ...fileRows(files, say),
  ];
  const cut =
    marks.length > 0
      ? `<div class="letters">${sheetTable(marks)}</div>`
      : `<p>${escapeHtml(say.noLetters)}</p>`;
  return `<section class="band"><h2>${escapeHtml(heading)}</h2>${sheetTable(rows)}
<h3>${escapeHtml(bench.marks)}</h3>${cut}
<div class="drawings">${sections.join('')}</div>
<h3>${escapeHtml(say.unrolled)}</h3>${unrolledDrawing(design, locale, 1)}
${bore ? `<h3>${escapeHtml(say.bore)}</h3>${bore}` : ''}${faces.join('')}</section>`;
}

/** A row for each part, its formats together: names are long, and are looked for letter by letter. */
function fileRows(files: readonly string[], say: TicketMessages): SheetRow[] {
  const formats = new Map<string, string[]>();
  for (const file of files) {
    const [, name, format] = /^(.*)(\.\w+)$/.exec(file) ?? ['', file, ''];
    formats.set(name, [...(formats.get(name) ?? []), format]);
  }
  if (formats.size === 0) return [[say.files, say.noFiles]];
  return [...formats].map(([name, ends]): SheetRow => [say.files, `${name}${ends.join(', ')}`]);
}

/** Cells that are figures stand to the right; empty ones are to be written in. */
function lined(head: readonly string[], rows: readonly (readonly string[])[], kind = ''): string {
  const cell = (text: string) =>
    `<td${/^[\d.,]+$/.test(text) ? ' class="figure"' : ''}>${escapeHtml(text)}</td>`;
  const heads = head.map((h) => `<th scope="col">${escapeHtml(h)}</th>`).join('');
  return `<table class="lined ${kind}"><thead><tr>${heads}</tr></thead><tbody>${rows.map((row) => `<tr>${row.map(cell).join('')}</tr>`).join('')}</tbody></table>`;
}

function stoneTable({ bands, own }: JobTicket, headings: readonly string[], locale: Locale): string {
  const { stones: say, noStones } = locale.messages.ticket;
  const rows = bands.flatMap(({ facts }, i) =>
    facts.rows.map((row) => {
      const spare = stonesToOrder(row.count, own.spares ?? 0) - row.count;
      const what = `${row.label}, ${stoneSize(row, locale)}`;
      return [`${headings[i]}, ${row.name}`, what, String(row.count), String(spare), '', '', '', '', ''];
    }),
  );
  if (rows.length === 0) return `<p>${escapeHtml(noStones)}</p>`;
  return lined(
    [say.band, say.stone, say.toSet, say.spare, say.out, say.set, say.lost, say.back, say.sign],
    rows,
  );
}

function weightTable({ bands }: JobTicket, headings: readonly string[], locale: Locale): string {
  const { weight: say } = locale.messages.ticket;
  const grams = (value: number) => locale.number(value, 2);
  const rows = bands.flatMap(({ facts }, i) =>
    facts.metals.map((metal) => {
      const cast = facts.caster?.parts.find(({ alloy }) => alloy === metal.alloy);
      return [headings[i], metal.name, cast ? grams(cast.castMassG) : '–', '', grams(metal.massG), '', ''];
    }),
  );
  return lined(
    [say.band, say.alloy, say.asCast, say.castWeighed, say.finished, say.weighed, say.scrap],
    rows,
  );
}

/** Only what there is to do. */
function workTable({ bands }: JobTicket, headings: readonly string[], locale: Locale): string {
  const { step, work } = locale.messages.ticket;
  const { letters, set } = work;
  const skip = new Set<string>([
    ...(bands.some(({ facts }) => facts.marks?.engravings.length) ? [] : [letters]),
    ...(bands.some(({ facts }) => facts.stoneCount > 0) ? [] : [set]),
  ]);
  const steps = Object.values(work).filter((what) => !skip.has(what));
  const who = bands.map((_, i) => (bands.length > 1 ? `${headings[i]}: ${step.who}` : step.who));
  return lined(
    [step.what, ...who],
    steps.map((what) => [what, ...bands.map(() => '')]),
    'work',
  );
}
