/**
 * Ring sizes of five systems, all reduced to the inner circumference in mm (ISO 8653). A size is the band's
 * smallest bore: a comfort bore opens from it towards the edges, never inward.
 *
 * Limits: US sizes were only ever approximate in the trade (about ±0.1 mm in diameter between suppliers).
 */
export type SizeSystemId = 'iso' | 'us' | 'uk' | 'jp' | 'ch';

export interface SizeSystem {
  id: SizeSystemId;
  /** word that marks a size of this system, e.g. `US 7` */
  mark: string;
  /** where it is used */
  label: string;
  /** other marks that are understood */
  aliases: readonly string[];
  /** lowest and highest size, in the system's own numbers (UK: letters from A = 0) */
  range: readonly [number, number];
  /** step between sizes that have a name here */
  step: number;
  /** step that a written size may have */
  grain: number;
  source: string;
  /** where charts in use differ from this row, for whoever compares them */
  note?: string;
  toCircumference(size: number): number;
  fromCircumference(mm: number): number;
}

const INCH = 25.4;

export const SIZE_SYSTEMS: readonly SizeSystem[] = [
  {
    id: 'iso',
    mark: 'ISO',
    label: 'ISO 8653 circumference, mm',
    // sold as "EU 54" or "FR 54": the same number by another name (en.wikipedia.org/wiki/Ring_size)
    aliases: ['EU', 'DE', 'AT', 'FR', 'BE'],
    range: [36, 80],
    step: 1,
    grain: 0.01,
    source: 'ISO 8653: inner circumference in mm',
    toCircumference: (size) => size,
    fromCircumference: (mm) => mm,
  },
  {
    id: 'us',
    mark: 'US',
    label: 'United States, Canada',
    aliases: ['USA', 'CA', 'CANADA'],
    range: [0, 16],
    step: 0.25,
    grain: 0.25,
    source: 'inner diameter 0.458 in + 0.032 in per size (en.wikipedia.org/wiki/Ring_size)',
    toCircumference: (size) => Math.PI * INCH * (0.458 + 0.032 * size),
    fromCircumference: (mm) => (mm / (Math.PI * INCH) - 0.458) / 0.032,
  },
  {
    id: 'uk',
    mark: 'UK',
    label: 'United Kingdom, Ireland, Australia, New Zealand',
    aliases: ['GB', 'IE', 'AU', 'NZ'],
    range: [0, 31],
    step: 0.5,
    grain: 0.5,
    source: 'BS 6820:1987 as reported: 37.5 mm at A, 1.25 mm per letter',
    // I 15.22 to Z 21.91 mm across: zuzujewellery.com/pages/ring-sizes; A 37.8, T 61.4 mm round: ringchart.co.uk
    note: 'UK letters follow BS 6820 as reported; charts in use run 0.1 to 0.3 mm larger (T is 61.25 mm round here, 61.4 mm there). Measure with the gauge that the client was measured with.',
    toCircumference: (size) => 37.5 + 1.25 * size,
    fromCircumference: (mm) => (mm - 37.5) / 1.25,
  },
  {
    id: 'jp',
    mark: 'JP',
    label: 'Japan',
    aliases: ['JAPAN'],
    range: [1, 35],
    step: 1,
    grain: 0.5,
    source: 'inner diameter 13 mm at 1, ⅓ mm per size (table of sizes 1–27 of a Japanese ring gauge)',
    toCircumference: (size) => Math.PI * (13 + (size - 1) / 3),
    fromCircumference: (mm) => 1 + 3 * (mm / Math.PI - 13),
  },
  {
    id: 'ch',
    mark: 'CH',
    label: 'Switzerland, Italy, Spain, Netherlands',
    aliases: ['IT', 'ES', 'NL', 'CONTINENTAL'],
    range: [1, 40],
    step: 0.25,
    grain: 0.25,
    source: 'inner circumference less 40 mm (en.wikipedia.org/wiki/Ring_size)',
    toCircumference: (size) => size + 40,
    fromCircumference: (mm) => mm - 40,
  },
];

export interface RingSize {
  system: SizeSystemId;
  /** the size in its system's own numbers */
  size: number;
  /** marked name, e.g. `UK N½` */
  name: string;
  circumferenceMm: number;
}

export const FRACTIONS: Readonly<Record<string, number>> = { '¼': 0.25, '½': 0.5, '¾': 0.75 };

/** At most two decimals. */
export function trimmed(value: number): string {
  return String(Number(value.toFixed(2)));
}

/** `7½`, `54.5`: quarters and halves as signs, anything else as decimals. */
function numberName(value: number, signs: boolean): string {
  const whole = Math.floor(value);
  const sign = Object.keys(FRACTIONS).find((f) => Math.abs(value - whole - FRACTIONS[f]) < 1e-9);
  return signs && sign ? `${whole === 0 ? '' : whole}${sign}` : trimmed(value);
}

/** Letters A to Z, then Z+1, Z+2 and so on; halves as ½. */
function letterName(index: number): string {
  const whole = Math.floor(index);
  const half = index - whole >= 0.25 ? '½' : '';
  return whole <= 25 ? `${String.fromCharCode(65 + whole)}${half}` : `Z+${whole - 25}${half}`;
}

export function markedName(system: SizeSystem, size: number): string {
  const own = system.id === 'uk' ? letterName(size) : numberName(size, system.id !== 'iso');
  return `${system.mark} ${own}`;
}

export function ringSize(system: SizeSystem, size: number): RingSize {
  return {
    system: system.id,
    size,
    name: markedName(system, size),
    circumferenceMm: system.toCircumference(size),
  };
}

export function withinRange(system: SizeSystem, size: number): boolean {
  return size >= system.range[0] && size <= system.range[1];
}

/** A ring's size in one system. */
export interface SizeInSystem {
  system: SizeSystemId;
  mark: string;
  label: string;
  /** exact value in the system's own numbers (UK: letters from A = 0) */
  exact: number;
  /** nearest size with a name, undefined outside the system's range */
  name?: string;
  nearestCircumferenceMm?: number;
  /** named size less the ring, mm of circumference */
  deviationMm?: number;
}

/** The names of one inner circumference in every system. */
export function allSizes(circumferenceMm: number): SizeInSystem[] {
  return SIZE_SYSTEMS.map((s) => {
    const exact = s.fromCircumference(circumferenceMm);
    const nearest = Math.round(exact / s.step) * s.step;
    const base = { system: s.id, mark: s.mark, label: s.label, exact };
    if (!withinRange(s, nearest)) return base;
    const nearestCircumferenceMm = s.toCircumference(nearest);
    return {
      ...base,
      name: markedName(s, nearest),
      nearestCircumferenceMm,
      deviationMm: nearestCircumferenceMm - circumferenceMm,
    };
  });
}

/** Inner diameter of a circumference, both mm. */
export function diameterOf(circumferenceMm: number): number {
  return circumferenceMm / Math.PI;
}
