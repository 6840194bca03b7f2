import { FAMILY } from '../plan/typeface.ts';
import type { PaperFormat } from '../trade/market.ts';
import { DRAWING_STYLE } from './bench-drawing.ts';

/** A heading and the facts of a band. */
const BAND_ROWS = 11;

/** Pictures with the line under them, whatever else there is to say. */
const LEAST_FIGURE_MM = 34;

/** Size of the page, and what its margins leave of its height less a hair, lest it run over. */
const PAGE: Record<PaperFormat, { size: string; heightMm: number }> = {
  a4: { size: '210mm 297mm', heightMm: 271 },
  letter: { size: '8.5in 11in', heightMm: 253.4 },
};

/**
 * One style for paper and screen: a sheet of paper with its margins, on screen as wide as the window allows. Blocks that
 * belong together are kept together, so that long texts run on to another page between them. Pictures take what else is
 * on the first page leaves them.
 */
export function proofStyle(paper: PaperFormat): string {
  const { size, heightMm } = PAGE[paper];
  return `@page { size: ${size}; margin: 13mm 15mm 12mm; }
:root { color-scheme: light; --ink: #1d1b19; --soft: #6d675f; --line: #cfc8bd; --accent: #8a6d3b; }
* { box-sizing: border-box; }
body { margin: 0; background: #fff; color: var(--ink); font: 400 8.8pt/1.42 "${FAMILY}", sans-serif; -webkit-print-color-adjust: exact; print-color-adjust: exact; }
main { overflow-wrap: anywhere; }
header { display: flex; justify-content: space-between; align-items: flex-start; gap: 8mm; padding-bottom: 3.5mm; border-bottom: 0.25mm solid var(--line); }
header img { display: block; width: auto; height: auto; max-width: 45mm; max-height: 16mm; }
.maker { font-weight: 600; font-size: 11pt; }
address { font-style: normal; text-align: right; color: var(--soft); font-size: 7.6pt; line-height: 1.45; }
.head { display: flex; justify-content: space-between; align-items: flex-end; gap: 8mm; margin: 5mm 0 3.5mm; }
.kind { margin: 0; color: var(--accent); font-weight: 600; font-size: 7.6pt; text-transform: uppercase; }
h1 { margin: 0.5mm 0 0; font-size: 19pt; line-height: 1.15; font-weight: 400; }
.names { margin: 1mm 0 0; font-size: 11pt; } .welcome { margin: -1.5mm 0 3.5mm; color: var(--soft); }
.facts { margin: 0; display: grid; grid-template-columns: auto auto; gap: 0.3mm 4mm; font-size: 8pt; flex: none; max-width: 50%; }
.facts dt { color: var(--soft); } .facts dd { margin: 0; text-align: right; }
.draft { margin: 0 0 3mm; padding: 1.2mm 3mm; border: 0.3mm solid #a33; color: #a33; font-weight: 600; }
figure { margin: 0; break-inside: avoid; }
.pictures { display: flex; gap: 4mm; justify-content: center; background: #fff; } .shot { min-width: 0; }
.pictures img { display: block; width: auto; max-width: 100%; object-fit: contain; }
figcaption { margin-top: 1mm; color: var(--soft); font-size: 7pt; text-align: center; }
.bands { display: grid; grid-template-columns: 1fr 1fr; gap: 0 9mm; margin-top: 3.5mm; } .bands.one { grid-template-columns: 1fr; }
.band, .price, .ticks, .sign, .notes, .summary, .drawing { break-inside: avoid; }
.reply { break-before: page; } .whose { margin: 0 0 5mm; padding-bottom: 2mm; border-bottom: 0.25mm solid var(--line); font-weight: 600; }
.summary th, .summary td { padding: 0.9mm 4mm 0.9mm 0; border-top: 0.15mm solid var(--line); text-align: left; vertical-align: top; font-weight: 400; } .summary th { color: var(--soft); }
h2 { margin: 0 0 1mm; font-size: 9.6pt; font-weight: 600; }
table { border-collapse: collapse; width: 100%; }
/* both bands share their rows, so that what belongs together stands on one line */
.band { grid-row: span ${BAND_ROWS}; display: grid; grid-template-rows: subgrid; } .band dl { grid-row: span ${BAND_ROWS - 1}; display: grid; grid-template-rows: subgrid; margin: 0; }
.fact { display: grid; grid-template-columns: 30mm 1fr; padding: 0.6mm 0; border-top: 0.15mm solid var(--line); }
.fact dt { padding-right: 2mm; color: var(--soft); overflow-wrap: normal; } .fact dd { margin: 0; min-width: 0; }
.size { font-weight: 600; font-size: 10.5pt; line-height: 1.2; } .more { color: var(--soft); }
.engraved { font-weight: 600; }
.price { margin-top: 4mm; } .price td, .price th { padding: 0.7mm 0; border-top: 0.15mm solid var(--line); text-align: left; font-weight: 400; }
.price td { text-align: right; font-variant-numeric: tabular-nums; } .price .total { font-weight: 600; border-top: 0.3mm solid var(--ink); }
.under { margin: 0.8mm 0 0; color: var(--soft); font-size: 7.4pt; }
.notes { margin-top: 4mm; } .notes p { margin: 0; white-space: pre-line; }
.ticks { margin-top: 5mm; } .ticks p { margin: 1.2mm 0 0; color: var(--soft); } ul { list-style: none; margin: 0; padding: 0; }
.ticks label { display: flex; gap: 3.2mm; padding: 0.6mm 0; }
.ticks input { appearance: none; flex: none; width: 3.3mm; height: 3.3mm; margin: 0.55mm 0 0; border: 0.25mm solid var(--ink); border-radius: 0; } .ticks input[type="radio"] { border-radius: 50%; } .ticks input:checked { background: var(--ink); box-shadow: inset 0 0 0 0.6mm #fff; } .ticks input:focus-visible { outline: 0.5mm solid var(--accent); }
.drawings { margin-top: 3.5mm; } .drawing { overflow-x: auto; }
${DRAWING_STYLE}.tag { display: none; }
.sign { margin-top: 4mm; } .blank { height: 8mm; border-bottom: 0.15mm solid var(--soft); }
.signatures { display: grid; grid-template-columns: 1fr 2fr 2fr; gap: 7mm; margin-top: 7mm; } .signatures span { color: var(--soft); font-size: 7.4pt; }
.small { margin-top: 4.5mm; padding-top: 1.5mm; border-top: 0.25mm solid var(--line); color: var(--soft); font-size: 7.3pt; line-height: 1.38; }
.small h2 { font-size: 8pt; color: var(--ink); margin-bottom: 0.4mm; } .small li { break-inside: avoid; padding-left: 2.6mm; text-indent: -2.6mm; } .small li::before { content: "·\\00a0\\00a0"; } .small p { margin: 1mm 0 0; }
@media print {
  .first { display: flex; flex-direction: column; min-height: ${heightMm}mm; }
  figure { flex: 1 0 ${LEAST_FIGURE_MM}mm; display: flex; flex-direction: column; }
  .pictures, .shot { flex: 1; position: relative; }
  .drawing svg { margin-top: -2.5mm; }
  .pictures img { position: absolute; inset: 0; width: 100%; height: 100%; }
}
@media screen {
  html { background: #eeeae4; }
  body { font-size: 15px; max-width: 900px; margin: 24px auto; padding: 40px 48px; box-shadow: 0 1px 12px rgb(0 0 0 / 0.12); }
  .pictures img { height: auto; max-height: 560px; } .reply { margin-top: 36px; } figcaption, .under, address { font-size: 12.5px; } .small { font-size: 12px; } .small h2 { font-size: 12.5px; }
  .facts, .kind { font-size: 13px; } h1 { font-size: 32px; } h2 { font-size: 17px; } .names { font-size: 18px; } .size { font-size: 18px; } .maker { font-size: 18px; }
  .fact { grid-template-columns: 120px 1fr; }
}
@media screen and (max-width: 640px) {
  body { margin: 0; padding: 20px; box-shadow: none; } .head, header { flex-wrap: wrap; } address { text-align: left; }
  .bands { grid-template-columns: 1fr; } .band { margin-bottom: 20px; }
  .summary tr, .summary th, .summary td { display: block; } .summary tr { padding: 6px 0; border-top: 1px solid var(--line); } .summary th, .summary td { padding: 0; border: 0; }
  .facts { max-width: 100%; } .facts dd { text-align: left; }
}
`;
}
