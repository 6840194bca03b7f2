import type { Refusal, Result } from '../problem.ts';
import {
  FRACTIONS,
  markedName,
  type RingSize,
  ringSize,
  SIZE_SYSTEMS,
  type SizeSystem,
  trimmed,
  withinRange,
} from './ring-size.ts';

/** Marks with their systems, longer ones first since some begin with others. */
const MARKS = SIZE_SYSTEMS.flatMap((s) => [s.mark, ...s.aliases].map((m) => [m, s] as const)).sort(
  ([a], [b]) => b.length - a.length,
);

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

function rangeText(system: SizeSystem): string {
  return `${markedName(system, system.range[0])} to ${markedName(system, system.range[1])}`;
}

const EXAMPLES = '"ISO 54", "US 7 1/2", "UK N½", "JP 13" or "CH 14"';

function refuse(code: string, text: string, expected: string, advice: string): Refusal {
  return {
    problems: [{ code, severity: 'error', path: 'size', expected, received: `"${text}"`, advice }],
  };
}

function readMarked(system: SizeSystem, rest: string, text: string): Result<RingSize> {
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
  return ringSize(system, size);
}

/** Whether a ring of this inner diameter in mm could be made. */
function mayBeDiameter(mm: number): boolean {
  return withinRange(SIZE_SYSTEMS[0], Math.PI * mm);
}

/** How to write an inner diameter, and what it comes to. */
function asDiameter(mm: number): string {
  return `"${trimmed(mm)} mm diameter" (${(Math.PI * mm).toFixed(2)} mm round)`;
}

/**
 * Bare text is taken only if it can have meant nothing else: one system's size, and no inner diameter in mm. A bare 0 is
 * more often a value that is missing than the child's size it would be.
 */
function readBare(text: string): Result<RingSize> {
  const upper = text.toUpperCase();
  const number = readNumber(upper);
  const choices: RingSize[] = [];
  for (const system of SIZE_SYSTEMS) {
    const size = system.id === 'uk' ? readLetter(upper) : number;
    if (size !== undefined && withinRange(system, size) && withinGrain(system, size))
      choices.push(ringSize(system, size));
  }
  const diameter = number !== undefined && mayBeDiameter(number) ? number : undefined;
  if (choices.length === 1 && diameter === undefined && number !== 0) return choices[0];
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
function readMillimetres(text: string): Result<RingSize> | undefined {
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
  if (withinRange(iso, circumference)) return ringSize(iso, circumference);
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
export function readRingSize(written: string): Result<RingSize> {
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
