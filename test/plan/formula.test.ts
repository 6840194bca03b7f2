import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Findings } from '../../pipeline/plan/findings.ts';
import {
  type Formula,
  formulaValue,
  type Quantity,
  readFormula,
  readQuantity,
} from '../../pipeline/plan/formula.ts';
import { mergeRaw } from '../../pipeline/plan/raw-merge.ts';
import { templateFields } from '../../pipeline/plan/template-fields.ts';
import { templateSchema } from '../../pipeline/plan/template-schema.ts';
import { workedTemplate } from '../../pipeline/plan/worked-template.ts';

const KNOWN = new Map<string, Quantity>([
  ['size', { value: 54, unit: 'mm' }],
  ['swing', { value: 0.6, unit: 'mm' }],
  ['lean', { value: 20, unit: 'deg' }],
  ['share', { value: 30, unit: '%' }],
  ['count', { value: 5, unit: '' }],
  ['far-swing', { value: 0.2, unit: 'mm' }],
]);
const cameTo = (text: string) => {
  const formula = readFormula(text);
  if (!formula || 'wanted' in formula) throw new Error(`${text} is no formula`);
  return formulaValue(formula, KNOWN);
};

describe('formulas', () => {
  // worked by hand
  it.each([
    ['2.2 mm + 4 % of size', '4.36 mm'],
    ['swing', '0.6 mm'],
    ['-swing', '-0.6 mm'],
    ['2 * swing - 0.1 mm', '1.1 mm'],
    ['2 * (swing - 0.1 mm)', '1 mm'],
    ['0.5 × far-swing', '0.1 mm'],
    ['swing * count / 4', '0.75 mm'],
    ['size / 9 mm', 6],
    ['round(size / 10 mm)', 5],
    ['least(swing, far-swing, 0.3 mm)', '0.2 mm'],
    ['most(0.1 mm, 50 % of swing)', '0.3 mm'],
    ['10 % of (size - 4 mm)', '5 mm'],
    ['50 % - swing', '50 % - 0.6 mm'],
    ['share + 1 mm', '30 % + 1 mm'],
    ['(100 % - 2 * swing) / 2', '50 % - 0.6 mm'],
    ['lean + 10 deg', '30 deg'],
    ['count', 5],
    ['2 * count', 10],
    ['1 mm + 2 mm', '3 mm'],
  ])('%s is %s', (text, expected) => {
    expect(cameTo(text)).toBe(expected);
  });

  it('agree with JavaScript on any sums and products of bare numbers', () => {
    const { tree } = fc.letrec<{ tree: string }>((tie) => ({
      tree: fc.oneof(
        { maxDepth: 5 },
        fc.integer({ min: 1, max: 99 }).map((n) => (n / 10).toFixed(1)),
        fc
          .tuple(tie('tree'), fc.constantFrom('+', '-', '*', '/'), tie('tree'))
          .map(([a, op, b]) => `(${a} ${op} ${b})`),
        fc
          .tuple(tie('tree'), fc.constantFrom('+', '-', '*'), tie('tree'))
          .map(([a, op, b]) => `${a} ${op} ${b}`),
      ),
    }));
    fc.assert(
      fc.property(tree, (text) => {
        const reference = Number(new Function(`return ${text}`)());
        fc.pre(Number.isFinite(reference) && Math.abs(reference) < 1e9);
        const value = /^[\d.]+$/.test(text) ? Number(text) : cameTo(text);
        expect(value).toBeCloseTo(reference, 5);
      }),
      { numRuns: 300, seed: 1 },
    );
  });

  it.each(['50 % - 1.1 mm', '4.5 mm', '20 deg', '-0.5', '30 %', ''])(
    '%j is none, but a plain value',
    (text) => {
      expect(readFormula(text)).toBeUndefined();
    },
  );

  it.each([
    ['half of it', 6],
    ['2 mm +', 7],
    ['+', 2],
    ['2 mm + 3 widgets', 10],
    ['2 * (swing + 1 mm', 18],
    ['swing-0.1 mm', 8],
    ['2 & 3', 3],
    [`${'('.repeat(30)}1${')'.repeat(30)}`, 22],
  ])('%j slips, and where is told', (text, at) => {
    expect(readFormula(text)).toMatchObject({ at });
  });

  it('say which name nothing has, which units do not go together, and what comes to no number', () => {
    expect(cameTo('swnig + 1 mm')).toEqual({ unknown: 'swnig' });
    expect(cameTo('swing + lean')).toEqual({ units: ['mm', 'deg'] });
    expect(cameTo('swing * far-swing')).toEqual({ units: ['mm', 'mm'] });
    expect(cameTo('least(swing, lean)')).toEqual({ units: ['mm', 'deg'] });
    expect(cameTo('swing / (count - 5)')).toEqual({ nothing: 'a division by zero' });
  });

  it('figures are read with their sign and unit', () => {
    expect(readQuantity('-0.5 mm')).toEqual({ value: -0.5, unit: 'mm' });
    expect(readQuantity('20°')).toEqual({ value: 20, unit: 'deg' });
    expect(readQuantity('swing')).toBeUndefined();
    expect((readFormula('swing + 2 * size') as Formula).names).toEqual(['swing', 'size']);
  });
});

const TEMPLATE = {
  title: 'Trial',
  section: 'flat-court',
  width: '2.2 mm + 4 % of size',
  thickness: '1.8 mm',
  let: {
    swing: { value: '0.5 mm', from: '0.3 mm', to: '0.9 mm' },
    turns: 5,
    least: '0.2 mm .. 0.4 mm',
    twice: '2 * swing in 0.6 mm .. 2.8 mm',
    surface: { value: 'satin', 'one-of': ['satin', 'polished'] },
  },
  sets: { rail: { alloy: 'yellow-18', soften: '0.5 * swing' } },
  lanes: {
    near: { as: 'rail' },
    field: { finish: 'surface', recess: '0.1 * twice', soften: 'least' },
    far: { as: 'rail', finish: 'satin' },
  },
  seams: {
    low: { kind: 'wave', at: '25 %', amplitude: 'swing', waves: 'turns' },
    high: { kind: 'straight', at: '100 % - 20 % of width' },
  },
};

function worked(template: object, at: { size: number; width?: number } = { size: 55 }) {
  const findings = new Findings(() => undefined);
  const raw = workedTemplate(template, at, findings, () => undefined);
  return { raw, errors: findings.errors };
}
const letting = (change: object) => ({ ...TEMPLATE, let: { ...TEMPLATE.let, ...change } });

describe('a template', () => {
  it('comes to what its formulas and sets say, for a size and for a width of the grid', () => {
    const { raw, errors } = worked(TEMPLATE);
    expect(errors).toEqual([]);
    const read = templateSchema.parse(raw);
    expect(read.width).toBeCloseTo(4.4, 9);
    expect(read.seams.low).toMatchObject({ amplitude: { share: 0, mm: 0.5 }, waves: 5 });
    expect(read.seams.high).toMatchObject({ at: { share: 1, mm: -0.88 } });
    expect(read.lanes.near).toMatchObject({ alloy: 'yellow-18', finish: 'polished' });
    // the middle of its limits, what follows another, and a word
    expect(read.lanes.field).toMatchObject({ soften: 0.3, recess: 0.1, finish: 'satin' });
    expect(read.lanes.far).toMatchObject({ alloy: 'yellow-18', finish: 'satin' });
    expect(read.let.least).toEqual({ value: '0.3 mm', from: '0.2 mm', to: '0.4 mm' });
    const wide = templateSchema.parse(worked(TEMPLATE, { size: 55, width: 6 }).raw);
    expect(wide.seams.high).toMatchObject({ at: { share: 1, mm: -1.2 } });
  });

  it.each([
    [{ swing: { ...TEMPLATE.let.swing, value: '1.2 mm' } }, 'swing', '1.2 mm', 'from 0.3 mm to 0.9 mm'],
    [{ least: '0.5 mm in 0.2 mm .. 0.4 mm' }, 'least', '0.5 mm', 'from 0.2 mm to 0.4 mm'],
    [{ swing: '0.2 mm' }, 'twice', '0.4 mm', 'from 0.6 mm to 2.8 mm'],
    [
      { surface: { value: 'matt', 'one-of': ['satin', 'polished'] } },
      'surface',
      '"matt"',
      'one of satin, polished',
    ],
    [{ turns: '5 deg in 3 .. 9' }, 'turns', '5 deg', 'from 3 to 9'],
  ])('is refused beyond what it lets: %j', (change, name, received, expected) => {
    const [error, ...more] = worked(letting(change)).errors;
    expect(error).toMatchObject({ code: 'out-of-range', path: `let.${name}`, received });
    expect(error.expected).toContain(expected);
    expect(more).toEqual([]);
  });

  it('keeps its limits where an override or axis gives the value alone', () => {
    const over = (change: object) => mergeRaw(TEMPLATE, { let: change }) as typeof TEMPLATE;
    expect(over({ swing: '0.7 mm', least: '0.35 mm', turns: 6 }).let).toMatchObject({
      swing: { value: '0.7 mm', from: '0.3 mm', to: '0.9 mm' },
      least: { value: '0.35 mm', from: '0.2 mm', to: '0.4 mm' },
      turns: { value: 6 },
    });
    expect(worked(over({ swing: '0.7 mm' })).errors).toEqual([]);
    expect(worked(over({ swing: '1.7 mm' })).errors[0]).toMatchObject({
      path: 'let.swing',
      received: '1.7 mm',
    });
    expect(worked(over({ surface: 'polished' })).errors).toEqual([]);
  });

  it('says which set or name it lacks, and at which character a formula breaks off', () => {
    const { errors } = worked({
      ...TEMPLATE,
      lanes: { ...TEMPLATE.lanes, near: { as: 'rial' }, far: { soften: '0.1 mm + (swing' } },
      thickness: 'thick',
    });
    expect(errors.map(({ code, path }) => [code, path])).toEqual([
      ['unknown-name', 'lanes.near.as'],
      ['unknown-name', 'thickness'],
      ['no-formula', 'lanes.far.soften'],
    ]);
    expect(errors[2].expected).toBe('")" at character 16 of the formula');
    expect(worked(letting({ swing: 'a lot' })).errors[0]).toMatchObject({
      code: 'no-formula',
      path: 'let.swing',
    });
  });

  it('shows what can be chosen as fields with their unit, limits and words', () => {
    const fields = templateFields(TEMPLATE).filter(({ path }) => path[0] === 'let');
    const told = fields.map(({ path, kind, measure, words, raw }) => [path[1], kind, raw, measure ?? words]);
    expect(told).toEqual([
      ['swing', 'measure', '0.5 mm', { unit: 'mm', least: 0.3, most: 0.9 }],
      ['turns', 'number', 5, undefined],
      ['least', 'measure', undefined, { unit: 'mm', least: 0.2, most: 0.4 }],
      ['twice', 'number', '2 * swing', undefined],
      ['surface', 'choice', 'satin', ['satin', 'polished']],
    ]);
  });
});
