/** The measures of a band that the bench works by, as a section of its sheet. */
import type { BandFacts } from '../facts/catalogue-schema.ts';
import type { ShapeDesign } from '../plan/design.ts';
import { sieveClass } from '../trade/sieve-classes.ts';
import { escapeHtml } from '../words/html.ts';
import type { Locale } from '../words/locale.ts';
import { type OwnBench, stonesToOrder } from './stone-list.ts';
import {
  type HoldMeasures,
  MARKED_ANGLES,
  type SeatMeasures,
  type StoneMark,
  type Swing,
  workingMeasures,
} from './working-measures.ts';

type Row = readonly [name: string, value: string];

export function measuresSection(band: BandFacts, design: ShapeDesign, own: OwnBench, locale: Locale): string {
  const say = locale.messages.bench.measures;
  const measures = workingMeasures(design);
  const mm = (value: number) => locale.number(value, 2);
  const angle = (theta: number) => angleWords(theta, locale);
  const first: Row[] = [
    ...(measures.blankMm === undefined
      ? []
      : [[say.blank, say.blankLine(mm(measures.blankMm), design.widthMm > 4)] as const]),
    ...fileRows(band, locale),
  ];
  const swings = ({ least, leastAt, most, mostAt }: Swing) =>
    most - least < 0.005
      ? say.constant(mm(least))
      : say.swings(mm(least), angle(leastAt), mm(most), angle(mostAt));
  const lanes = measures.lanes.map((lane): Row => [lane.name, swings(lane)]);
  const parts = [
    pairs(first),
    measures.seams.length > 0 ? `<h2>${say.seams}</h2>${seamTable(measures.seams, locale)}` : '',
    `<h2>${say.lanes}</h2>${pairs(lanes)}`,
    ...(measures.stones.length > 0
      ? [
          `<h2>${say.order}</h2>${pairs(orderRows(band, own, locale))}`,
          `<h2>${say.seats}</h2>${pairs(measures.seats.map((seat) => seatRow(seat, locale)))}`,
          measures.holds.length > 0
            ? `<h2>${say.holds}</h2>${pairs(measures.holds.map((hold): Row => [hold.row, holdWords(hold, locale)]))}`
            : '',
          `<h2>${say.places}</h2>${placeTables(measures.stones, locale)}`,
        ]
      : []),
  ];
  return `<section class="measures"><h2>${escapeHtml(band.sku)}: ${say.heading}</h2><p class="printing">${say.counted}</p>${parts.join('')}</section>`;
}

function pairs(rows: readonly Row[]): string {
  if (rows.length === 0) return '';
  const cells = rows.map(
    ([name, value]) => `<tr><th>${escapeHtml(name)}</th><td>${escapeHtml(value)}</td></tr>`,
  );
  return `<table>${cells.join('')}</table>`;
}

function angleWords(theta: number, locale: Locale): string {
  const turns = theta / (2 * Math.PI);
  // from over -180° to 180°, as stones are told
  return `${locale.number(360 * (turns - Math.ceil(turns - 0.5)), 0, 1)}°`;
}

function fileRows({ caster, sku }: BandFacts, { messages }: Locale): Row[] {
  const names = (caster?.parts ?? []).flatMap(({ files }) =>
    files.map(({ file }) => String(file).split('/').at(-1)!),
  );
  if (names.length === 0) return [];
  return [[messages.bench.measures.files, [...names, `${sku}-stones.csv`].join(', ')]];
}

function seamTable(seams: ReturnType<typeof workingMeasures>['seams'], locale: Locale): string {
  const say = locale.messages.bench.measures;
  const mm = (value: number) => locale.number(value, 2);
  const head = [say.seam, ...MARKED_ANGLES.map((theta) => angleWords(theta, locale))];
  const rows = seams.map(({ name, at }) => [name, ...at.map(mm)]);
  return grid(head, rows);
}

function grid(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const row = (cells: readonly string[], tag: 'th' | 'td') =>
    `<tr>${cells.map((c) => `<${tag}>${escapeHtml(c)}</${tag}>`).join('')}</tr>`;
  return `<table class="grid"><thead>${row(head, 'th')}</thead><tbody>${rows.map((r) => row(r, 'td')).join('')}</tbody></table>`;
}

function stoneSize(widthMm: number, lengthMm: number | undefined, { messages, number }: Locale): string {
  const across = number(widthMm, 0, 3);
  return lengthMm === undefined ? `Ø ${across}` : messages.wording.by(number(lengthMm, 0, 3), across);
}

function orderRows({ rows }: BandFacts, { spares = 0, quality = {} }: OwnBench, locale: Locale): Row[] {
  const say = locale.messages.bench.measures;
  return rows.map((row): Row => {
    const beside = stonesToOrder(row.count, spares) - row.count;
    const sieve = row.cut === 'round-brilliant' ? sieveClass(row.diameterMm) : undefined;
    const own = quality[row.stone];
    const words = [
      say.orderLine(row.count, beside, stoneSize(row.diameterMm, row.lengthMm, locale)),
      row.label,
      ...(sieve ? [say.sieve(sieve.replaceAll(/\d+\.\d/g, (plate) => locale.number(Number(plate), 1)))] : []),
      ...(own ? [say.quality(own)] : []),
    ];
    return [row.name, words.join(', ')];
  });
}

function seatRow({ name, opening, hole, girdleDepthMm, bearing }: SeatMeasures, locale: Locale): Row {
  const say = locale.messages.bench.measures;
  const mm = (value: number) => locale.number(value, 2);
  const size = ([along, across]: readonly [number, number]) =>
    Math.abs(along - across) < 0.005 ? `Ø ${mm(along)}` : locale.messages.wording.by(mm(along), mm(across));
  const words = [
    say.opening(size(opening)),
    say.hole(hole && size(hole)),
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
      .map(({ number, theta, alongMm, fromEdgeMm, widthMm, lengthMm }) => [
        String(number),
        angleWords(theta, locale),
        locale.number(alongMm, 2),
        locale.number(fromEdgeMm, 2),
        stoneSize(widthMm, lengthMm, locale),
      ]);
    const each = Math.max(FEWEST_LINES, Math.ceil(lines.length / MOST_TABLES));
    const parts = Array.from({ length: Math.ceil(lines.length / each) }, (_, i) =>
      grid(head, lines.slice(i * each, (i + 1) * each)),
    );
    return `<h3>${escapeHtml(name)}</h3><div class="places">${parts.join('')}</div>`;
  });
  return tables.join('');
}
