import * as z from 'zod';

/**
 * Values with units as they are written in files. Bare numbers are mm for lengths and degrees for angles;
 * shares are `30 %` or a number from 0 to 1.
 */

/** What a value should have been; `undefined` of `value` means that it could not be read. */
type Reading<T> = { value: T } | { code: string; expected: string; advice: string };

const NUMBER = String.raw`[+-]?(?:\d+\.?\d*|\.\d+)`;
const MM_PER: Readonly<Record<string, number>> = {
  in: 25.4,
  inch: 25.4,
  inches: 25.4,
  '"': 25.4,
  cm: 10,
  m: 1000,
  µm: 0.001,
  um: 0.001,
};

export interface MeasureRange {
  min: number;
  max: number;
}

function withinRange(value: number, { min, max }: MeasureRange, unit: string, what: string): Reading<number> {
  if (value >= min && value <= max) return { value };
  return {
    code: 'out-of-range',
    expected: `${what} from ${min}${unit} to ${max}${unit}`,
    advice: 'Choose a value within that range.',
  };
}

/** Advice for what could not be read: where decimals stand after a comma, with a point instead. */
function withPoint(written: number | string, advice: string): string {
  const text = String(written).trim();
  return /\d,\d/.test(text)
    ? `Write decimals with a point: "${text.replaceAll(/(\d),(\d)/g, '$1.$2')}".`
    : advice;
}

/** A length in mm: `4.5 mm`, `4.5`. */
export function readLength(written: number | string, range: MeasureRange): Reading<number> {
  if (typeof written === 'number') return withinRange(written, range, ' mm', 'a length');
  const m = new RegExp(`^(${NUMBER})\\s*(.*)$`, 'u').exec(written.trim());
  const unit = m?.[2] ?? '';
  if (m && (unit === '' || unit === 'mm')) return withinRange(Number(m[1]), range, ' mm', 'a length');
  const factor = MM_PER[unit];
  const advice =
    m && factor
      ? `Lengths are given in mm: write "${Number((Number(m[1]) * factor).toPrecision(6))} mm".`
      : 'The only unit allowed is mm; a bare number is mm too.';
  return {
    code: 'wrong-unit',
    expected: 'a length in mm such as "4.5 mm"',
    advice: withPoint(written, advice),
  };
}

/** An angle in radians: `20 deg`, `20°`, `20`. */
export function readAngle(written: number | string, range: MeasureRange): Reading<number> {
  const m =
    typeof written === 'number' ? null : new RegExp(`^(${NUMBER})\\s*(?:deg|°)?$`).exec(written.trim());
  if (typeof written !== 'number' && !m)
    return {
      code: 'wrong-unit',
      expected: 'an angle in degrees such as "20 deg"',
      advice: withPoint(written, 'The only unit allowed is deg; a bare number is degrees too.'),
    };
  const degrees = typeof written === 'number' ? written : Number(m?.[1]);
  const checked = withinRange(degrees, range, ' deg', 'an angle');
  return 'value' in checked ? { value: (checked.value * Math.PI) / 180 } : checked;
}

/** A share from 0 to 1: `30 %`, `0.3`. */
export function readShare(written: number | string, range: MeasureRange): Reading<number> {
  const m = typeof written === 'number' ? null : new RegExp(`^(${NUMBER})\\s*%$`).exec(written.trim());
  const percent = typeof written === 'number' ? written * 100 : Number(m?.[1]);
  if (typeof written === 'number' ? written > 1 || written < 0 : !m)
    return {
      code: 'wrong-unit',
      expected: 'a share such as "30 %"',
      advice: withPoint(written, 'Write a percentage with its sign; a bare number must lie between 0 and 1.'),
    };
  const checked = withinRange(percent, { min: range.min * 100, max: range.max * 100 }, ' %', 'a share');
  return 'value' in checked ? { value: checked.value / 100 } : checked;
}

/** A length that may follow the width: share · width + mm. */
export interface WidthMeasure {
  share: number;
  mm: number;
}

/** From the far edge instead of the first: share and millimetres of what is left. */
export function fromFarEdge({ share, mm }: WidthMeasure): WidthMeasure {
  return { share: 1 - share, mm: -mm };
}

/** `30 %` of the width, `1.5 mm`, or both: `50 % - 1.1 mm`. */
export function readWidthMeasure(written: number | string): Reading<WidthMeasure> {
  if (typeof written === 'number') return { value: { share: 0, mm: written } };
  const text = written.trim();
  const both = /^(\d+\.?\d*)\s*%\s*(?:([+-])\s*(\d+\.?\d*)\s*mm)?$/.exec(text);
  if (both) {
    const mm = both[3] ? Number(both[3]) * (both[2] === '-' ? -1 : 1) : 0;
    return { value: { share: Number(both[1]) / 100, mm } };
  }
  const length = readLength(text, { min: 0, max: 100 });
  if ('value' in length) return { value: { share: 0, mm: length.value } };
  const expected = 'a length such as "1.5 mm", a share of the width such as "30 %", or "50 % - 1.1 mm"';
  return { code: 'wrong-unit', expected, advice: length.advice };
}

/** Pixels: `720 px`, `720`. */
export function readPixels(written: number | string, range: MeasureRange): Reading<number> {
  const m = typeof written === 'number' ? null : /^(\d+)\s*(?:px)?$/.exec(written.trim());
  const value = typeof written === 'number' ? written : Number(m?.[1]);
  if (!Number.isInteger(value))
    return {
      code: 'wrong-unit',
      expected: 'whole pixels such as "720 px"',
      advice: 'The only unit allowed is px.',
    };
  return withinRange(value, range, ' px', 'a number of pixels');
}

const APERTURE = '"gentle", or a lens opening such as "f/16" or "3 mm"';

/** A lens opening: its diameter in mm, the number N of f/N, or so wide that the far end of a band just softens. */
export type Aperture = { mm: number } | { fNumber: number } | { gentle: true };

/** `2 mm`, `2`, `f/16`, `gentle`. */
export function readAperture(written: number | string): Reading<Aperture> {
  if (typeof written === 'string' && written.trim() === 'gentle') return { value: { gentle: true } };
  const f = typeof written === 'string' ? new RegExp(`^f/?\\s*(${NUMBER})$`, 'i').exec(written.trim()) : null;
  if (f) {
    const number = withinRange(Number(f[1]), { min: 2, max: 128 }, '', 'an f-number');
    return 'value' in number ? { value: { fNumber: number.value } } : number;
  }
  const mm = readLength(written, { min: 0.05, max: 30 });
  if ('value' in mm) return { value: { mm: mm.value } };
  if (mm.code === 'out-of-range') return mm;
  return { ...mm, expected: APERTURE };
}

/** What a field that holds a measure takes, for who shows it: least and most in that unit. */
export interface MeasureField {
  unit: 'mm' | 'deg' | '%' | 'px' | 'mm or %' | 'mm or f/';
  least?: number;
  most?: number;
}

/** Which schemas are measures: their limits are in the readers, where a schema's reader can't see them. */
export const MEASURE_FIELDS = z.registry<MeasureField>();

function measure<T>(
  kind: string,
  pattern: string,
  field: MeasureField,
  read: (written: number | string) => Reading<T>,
) {
  // the pattern is for editors only: the reader below says far better what is wrong
  const text = z.string().meta({ pattern });
  return z
    .union([z.number(), text], { error: () => kind })
    .transform((written, ctx): T => {
      const reading = read(written);
      if ('value' in reading) return reading.value;
      const { code, expected, advice } = reading;
      ctx.addIssue({ code: 'custom', message: expected, params: { code, expected, advice } });
      return z.NEVER;
    })
    .register(MEASURE_FIELDS, field);
}

const within = (unit: MeasureField['unit'], least: number, most: number): MeasureField => ({
  unit,
  least,
  most,
});

export const length = (min: number, max: number) =>
  measure(
    'a length in mm such as "4.5 mm"',
    String.raw`^\s*[+-]?[\d.]+\s*(mm)?\s*$`,
    within('mm', min, max),
    (w) => readLength(w, { min, max }),
  );

export const angle = (min: number, max: number) =>
  measure(
    'an angle such as "20 deg"',
    String.raw`^\s*[+-]?[\d.]+\s*(deg|°)?\s*$`,
    within('deg', min, max),
    (w) => readAngle(w, { min, max }),
  );

export const share = (min: number, max: number) =>
  measure('a share such as "30 %"', String.raw`^\s*[\d.]+\s*%\s*$`, within('%', 100 * min, 100 * max), (w) =>
    readShare(w, { min, max }),
  );

export const pixels = (min: number, max: number) =>
  measure('pixels such as "720 px"', String.raw`^\s*\d+\s*(px)?\s*$`, within('px', min, max), (w) =>
    readPixels(w, { min, max }),
  );

export const widthMeasure = () =>
  measure(
    'a length such as "1.5 mm" or a share of the width such as "30 %"',
    String.raw`^\s*([\d.]+\s*%(\s*[+-]\s*[\d.]+\s*mm)?|[\d.]+\s*(mm)?)\s*$`,
    { unit: 'mm or %' },
    readWidthMeasure,
  );

export const aperture = measure(
  APERTURE,
  String.raw`^\s*(gentle|[fF]/?\s*[\d.]+|[\d.]+\s*(mm)?)\s*$`,
  { unit: 'mm or f/' },
  readAperture,
);
