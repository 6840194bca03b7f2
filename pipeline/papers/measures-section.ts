/** The measures of a band that the bench works by, as a section of its sheet. */
import type { BandFacts } from '../facts/catalogue-schema.ts';
import type { ShapeDesign } from '../plan/design.ts';
import { angleWords } from '../words/angle-words.ts';
import { escapeHtml } from '../words/html.ts';
import type { Locale } from '../words/locale.ts';
import { type SheetRow, sheetTable, stoneSize } from './sheet-table.ts';
import { type OwnBench, sieveOf, stonesToOrder } from './stone-list.ts';
import {
  type HoldMeasures,
  markedAngles,
  type SeamMeasures,
  type SeatMeasures,
  type StoneMark,
  type Swing,
  workingMeasures,
} from './working-measures.ts';

export function measuresSection(band: BandFacts, design: ShapeDesign, own: OwnBench, locale: Locale): string {
  const say = locale.messages.bench.measures;
  const measures = workingMeasures(design);
  const mm = (value: number) => locale.number(value, 2);
  const angle = (theta: number) => angleWords(theta, locale);
  // of a band of wires it is the liner's
  const blankName = design.strands ? `${say.blank}, ${design.lanes[0].name}` : say.blank;
  const first: SheetRow[] = [
    ...(measures.blank
      ? [[blankName, say.blankLine(mm(measures.blank.lengthMm), measures.blank.wide)] as const]
      : []),
    ...fileRows(band, locale),
  ];
  const swings = ({ least, leastAt, most, mostAt }: Swing) =>
    most - least < 0.005
      ? say.constant(mm(least))
      : say.swings(mm(least), angle(leastAt), mm(most), angle(mostAt));
  const lanes = measures.lanes.map((lane): SheetRow => [lane.name, swings(lane)]);
  const wires = measures.wires.map(
    ({ name, diameterMm, lengthMm }): SheetRow => [name, say.wire(mm(diameterMm), mm(lengthMm))],
  );
  const metal = [
    ...seamTables(measures.seams, locale),
    `<h2>${say.lanes}</h2>${sheetTable(wires.length > 0 ? wires : lanes)}`,
  ];
  const set = measures.seats.length > 0;
  const stones = [
    `<h2>${say.order}</h2>${sheetTable(orderRows(band, own, locale))}`,
    `<h2>${say.seats}</h2>${sheetTable(measures.seats.map((seat) => seatRow(seat, locale)))}`,
    measures.holds.length > 0
      ? `<h2>${say.holds}</h2>${sheetTable(measures.holds.map((hold): SheetRow => [hold.row, holdWords(hold, locale)]))}`
      : '',
  ];
  const parts = [
    sheetTable(first),
    `<div class="works"><div>${metal.join('')}</div>${set ? `<div>${stones.join('')}</div>` : ''}</div>`,
    measures.stones.length > 0 ? `<h2>${say.places}</h2>${placeTables(measures.stones, locale)}` : '',
  ];
  return `<section class="measures"><h2>${escapeHtml(band.sku)}: ${say.heading}</h2><p class="printing">${say.counted}</p>${parts.join('')}</section>`;
}

function fileRows({ caster, sku, stoneCount }: BandFacts, { messages }: Locale): SheetRow[] {
  const names = (caster?.parts ?? []).flatMap(({ files }) =>
    files.map(({ file }) => String(file).split('/').at(-1)!),
  );
  if (names.length === 0) return [];
  return [
    [messages.bench.measures.files, [...names, ...(stoneCount > 0 ? [`${sku}-stones.csv`] : [])].join(', ')],
  ];
}

/** A table for all seams that repeat equally often. */
function seamTables(seams: readonly SeamMeasures[], locale: Locale): string[] {
  const say = locale.messages.bench.measures;
  const mm = (value: number) => locale.number(value, 2);
  return [...new Set(seams.map(({ repeats }) => repeats))].map((repeats) => {
    const head = [say.seam, ...markedAngles(repeats).map((theta) => angleWords(theta, locale))];
    const rows = seams.filter((s) => s.repeats === repeats).map(({ name, at }) => [name, ...at.map(mm)]);
    const again = repeats > 1 ? say.again(repeats, angleWords((2 * Math.PI) / repeats, locale)) : '';
    return `<h2>${say.seams}${again}</h2>${grid(head, rows)}`;
  });
}

function grid(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const row = (cells: readonly string[], tag: 'th' | 'td') =>
    `<tr>${cells.map((c) => `<${tag}>${escapeHtml(c)}</${tag}>`).join('')}</tr>`;
  return `<table class="grid"><thead>${row(head, 'th')}</thead><tbody>${rows.map((r) => row(r, 'td')).join('')}</tbody></table>`;
}

function orderRows({ rows }: BandFacts, { spares = 0, quality = {} }: OwnBench, locale: Locale): SheetRow[] {
  const say = locale.messages.bench.measures;
  return rows.map((row): SheetRow => {
    const beside = stonesToOrder(row.count, spares) - row.count;
    const sieve = sieveOf(row);
    const own = quality[row.stone];
    const words = [
      say.orderLine(row.count, beside, stoneSize(row, locale)),
      row.label,
      ...(sieve ? [say.sieve(sieve.replaceAll(/\d+\.\d/g, (plate) => locale.number(Number(plate), 1)))] : []),
      ...(own ? [say.quality(own)] : []),
    ];
    return [row.name, words.join(', ')];
  });
}

function seatRow(
  { name, opening, hole, azure, girdleDepthMm, bearing }: SeatMeasures,
  locale: Locale,
): SheetRow {
  const say = locale.messages.bench.measures;
  const mm = (value: number) => locale.number(value, 2);
  const size = ([along, across]: readonly [number, number]) =>
    Math.abs(along - across) < 0.005 ? `Ø ${mm(along)}` : locale.messages.wording.by(mm(along), mm(across));
  const words = [
    say.opening(size(opening)),
    say.hole(hole && size(hole), azure && size(azure)),
    say.girdleDepth(mm(girdleDepthMm)),
    say.bearing(mm(bearing[0]), mm(bearing[1])),
  ];
  return [name, words.join(', ')];
}

function holdWords(hold: HoldMeasures, locale: Locale): string {
  const say = locale.messages.bench.measures;
  const mm = (value: number) => locale.number(value, 2);
  switch (hold.kind) {
    case 'claws':
    case 'grains':
      return say.claws(
        say.pins[hold.kind],
        hold.count,
        mm(hold.baseMm),
        mm(hold.overMetalMm),
        mm(hold.overGirdleMm),
      );
    case 'channel':
      return say.channel(mm(hold.openMm), mm(hold.slotMm), mm(hold.floorMm));
    case 'flush':
      return say.flush(mm(hold.lipMm), mm(hold.flareMm));
    case 'collar':
      return say.collar(
        mm(hold.outsideMm),
        mm(hold.wallMm),
        locale.number((hold.taperRad * 180) / Math.PI, 0),
        hold.lipMm === undefined ? undefined : mm(hold.lipMm),
      );
  }
}

/** Stones of a row that stand below each other. */
const FEWEST_LINES = 8;
/** Tables that a page holds side by side. */
const MOST_TABLES = 4;

/** Each row's stones in tables of equal length, side by side. */
function placeTables(stones: readonly StoneMark[], locale: Locale): string {
  const say = locale.messages.bench.measures.placeHeads;
  const head = [say.number, say.angle, say.along, say.fromEdge, say.size];
  const rows = [...new Set(stones.map(({ row }) => row))];
  const tables = rows.map((name) => {
    const lines = stones
      .filter(({ row }) => row === name)
      .map((stone) => [
        String(stone.number),
        angleWords(stone.theta, locale),
        locale.number(stone.alongMm, 2),
        locale.number(stone.fromEdgeMm, 2),
        stoneSize(stone, locale),
      ]);
    const each = Math.max(FEWEST_LINES, Math.ceil(lines.length / MOST_TABLES));
    const parts = Array.from({ length: Math.ceil(lines.length / each) }, (_, i) =>
      grid(head, lines.slice(i * each, (i + 1) * each)),
    );
    return `<h3>${escapeHtml(name)}</h3><div class="places">${parts.join('')}</div>`;
  });
  return tables.join('');
}
