import type { Problem } from '../problem.ts';

/**
 * Ring sizes of five systems, all reduced to the inner circumference in mm (ISO 8653). A size is the band's
 * smallest bore: a comfort inside opens from it towards the edges, never inward.
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

/** Marks with their systems, longer ones first since some begin with others. */
const MARKS = SIZE_SYSTEMS.flatMap((s) => [s.mark, ...s.aliases].map((m) => [m, s] as const)).sort(
  ([a], [b]) => b.length - a.length,
);

export interface RingSize {
  system: SizeSystemId;
  /** the size in its system's own numbers */
  size: number;
  /** marked name, e.g. `UK N½` */
  name: string;
  circumferenceMm: number;
}

export type RingSizeReading = { size: RingSize } | { problem: Problem };

const FRACTIONS: Readonly<Record<string, number>> = { '¼': 0.25, '½': 0.5, '¾': 0.75 };

function trimmed(value: number): string {
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

function markedName(system: SizeSystem, size: number): string {
  const own = system.id === 'uk' ? letterName(size) : numberName(size, system.id !== 'iso');
  return `${system.mark} ${own}`;
}

function make(system: SizeSystem, size: number): RingSize {
  return {
    system: system.id,
    size,
    name: markedName(system, size),
    circumferenceMm: system.toCircumference(size),
  };
}

/** A number with an optional fraction: `7`, `7.5`, `7½`, `7 1/2`, `1/2`. */
function readNumber(text: string): number | undefined {
  const m = /^(\d{1,3}(?:\.\d{1,4})?)?\s*(?:([¼½¾])|(?:(?<=^|\s)([123])\/([24])))?$/.exec(text);
  if (!m || text === '' || (m[1]?.includes('.') && (m[2] || m[3]))) return undefined;
  const fraction = m[2] ? FRACTIONS[m[2]] : m[3] ? Number(m[3]) / Number(m[4]) : 0;
  return fraction < 1 ? Number(m[1] ?? 0) + fraction : undefined;
}

/** A letter with an optional half: `N`, `N½`, `N 1/2`, `N.5`, `Z+2`, `Z+2½`. Gives the index with A = 0. */
function readLetter(text: string): number | undefined {
  const m = /^([A-Z])(?:\s*\+\s*(\d))?(?:\s*(½|1\/2|\.5))?$/.exec(text);
  if (!m || (m[2] !== undefined && (m[1] !== 'Z' || m[2] === '0'))) return undefined;
  return m[1].charCodeAt(0) - 65 + Number(m[2] ?? 0) + (m[3] ? 0.5 : 0);
}

function withinGrain(system: SizeSystem, size: number): boolean {
  return Math.abs(size / system.grain - Math.round(size / system.grain)) < 1e-6;
}

function withinRange(system: SizeSystem, size: number): boolean {
  return size >= system.range[0] && size <= system.range[1];
}

function rangeText(system: SizeSystem): string {
  return `${markedName(system, system.range[0])} to ${markedName(system, system.range[1])}`;
}

const EXAMPLES = '"ISO 54", "US 7 1/2", "UK N½", "JP 13" or "CH 14"';

function refuse(code: string, text: string, expected: string, advice: string): RingSizeReading {
  return {
    problem: { code, severity: 'error', path: 'size', expected, received: `"${text}"`, advice },
  };
}

function readMarked(system: SizeSystem, rest: string, text: string): RingSizeReading {
  const size = system.id === 'uk' ? readLetter(rest) : readNumber(rest);
  if (size === undefined) {
    const kind = system.id === 'uk' ? 'a letter, with ½ or not' : 'a number';
    return refuse(
      'size-unreadable',
      text,
      `${system.mark} followed by ${kind}`,
      `Write it like ${EXAMPLES}.`,
    );
  }
  if (!withinRange(system, size)) {
    const advice =
      system.id === 'iso' && mayBeDiameter(size)
        ? `If it is an inner diameter, write ${asDiameter(size)}.`
        : `Check the system: that size would be ${system.toCircumference(size).toFixed(2)} mm round.`;
    return refuse('size-out-of-range', text, `a size from ${rangeText(system)}`, advice);
  }
  if (!withinGrain(system, size)) {
    const advice = 'Round it to a size a gauge has, or give the circumference as ISO.';
    return refuse('size-between-steps', text, `${system.mark} sizes in steps of ${system.grain}`, advice);
  }
  return { size: make(system, size) };
}

/** Whether a ring of this inner diameter in mm could be made. */
function mayBeDiameter(mm: number): boolean {
  return withinRange(SIZE_SYSTEMS[0], Math.PI * mm);
}

/** How to write an inner diameter, and what it comes to. */
function asDiameter(mm: number): string {
  return `"${trimmed(mm)} mm diameter" (${(Math.PI * mm).toFixed(2)} mm round)`;
}

/** Bare text is taken only if it can have meant nothing else: one system's size, and no inner diameter in mm. */
function readBare(text: string): RingSizeReading {
  const upper = text.toUpperCase();
  const number = readNumber(upper);
  const choices: RingSize[] = [];
  for (const system of SIZE_SYSTEMS) {
    const size = system.id === 'uk' ? readLetter(upper) : number;
    if (size !== undefined && withinRange(system, size) && withinGrain(system, size))
      choices.push(make(system, size));
  }
  const diameter = number !== undefined && mayBeDiameter(number) ? number : undefined;
  if (choices.length === 1 && diameter === undefined) return { size: choices[0] };
  const readings = choices.map((c) => `"${c.name}" (${c.circumferenceMm.toFixed(2)} mm round)`);
  if (diameter !== undefined) readings.push(asDiameter(diameter));
  if (readings.length === 0)
    return refuse(
      'size-unreadable',
      text,
      `a ring size such as ${EXAMPLES}`,
      'Mark the system before the size.',
    );
  return refuse(
    'size-ambiguous',
    text,
    'a size of one system',
    `Write which one is meant: ${readings.join(', ')}.`,
  );
}

/** Millimetres: a circumference unless it says diameter; a bare length that fits neither is refused. */
function readMillimetres(text: string): RingSizeReading | undefined {
  const m =
    /^(Ø|⌀|diameter|circumference)?\s*(\d{1,3}(?:\.\d{1,4})?)\s*mm(?:\s+(diameter|circumference))?$/i.exec(
      text,
    );
  if (!m) return undefined;
  const word = (m[1] ?? m[3])?.toLowerCase();
  const value = Number(m[2]);
  const iso = SIZE_SYSTEMS[0];
  if (m[1] && m[3])
    return refuse('size-unreadable', text, 'one word for what the length is', 'Name it once.');
  const circumference = word === undefined || word === 'circumference' ? value : Math.PI * value;
  if (withinRange(iso, circumference)) return { size: make(iso, circumference) };
  const advice =
    word === undefined && mayBeDiameter(value)
      ? `If it is an inner diameter, write ${asDiameter(value)}.`
      : `Bands are made from ${iso.range[0]} to ${iso.range[1]} mm round.`;
  return refuse('size-out-of-range', text, 'an inner circumference from 36 to 80 mm', advice);
}

/** The system a text begins with and what follows its mark. */
function splitMark(upper: string): { system: SizeSystem; rest: string } | undefined {
  // the standard's own designation joins with a hyphen, as in ISO 8653-54; elsewhere that would be a minus
  const iso = /^ISO(?: ?8653(?=-))?[\s:-]*(.*)$/.exec(upper);
  if (iso) return { system: SIZE_SYSTEMS[0], rest: iso[1] };
  for (const [mark, system] of MARKS) {
    const rest = upper.startsWith(mark) ? upper.slice(mark.length) : undefined;
    if (rest === undefined || (/^[A-Z]/.test(rest) && (system.id !== 'uk' || /^[A-Z]{2}/.test(rest))))
      continue;
    return { system, rest: rest.replace(/^[\s:]+/, '') };
  }
  return undefined;
}

/**
 * Reads a ring size marked by its system (`ISO 54`, `US 7 1/2`, `UK N½`, `JP 13`, `CH 14`), or a length said to
 * be a circumference or diameter (`17.2 mm diameter`). A bare number or letter is taken only when one system
 * alone can have meant it and no diameter can. Never throws: gives the size or one problem whose path is `size`.
 */
export function readRingSize(written: string): RingSizeReading {
  const text = written.trim().replace(/\s+/g, ' ');
  if (text === '' || text.length > 60)
    return refuse('size-unreadable', text.slice(0, 60), `a ring size such as ${EXAMPLES}`, 'Write one size.');
  const millimetres = readMillimetres(text);
  if (millimetres) return millimetres;
  const upper = text.toUpperCase();
  const marked = splitMark(upper);
  if (marked) return readMarked(marked.system, marked.rest, text);
  if (!/^[A-Z]{2}/.test(upper)) return readBare(text);
  const known = SIZE_SYSTEMS.map((s) => `${s.mark} (${s.label})`).join(', ');
  return refuse(
    'size-unknown-system',
    text,
    `a size marked by one of ${known}`,
    `Write it like ${EXAMPLES}.`,
  );
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
