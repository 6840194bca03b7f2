import { describe, expect, it } from 'vitest';
import { Findings } from '../../pipeline/plan/findings.ts';
import { formulaTerms, formulaValue, type Quantity, readQuantity } from '../../pipeline/plan/formula.ts';
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
const cameTo = (text: string) => formulaValue(formulaTerms(text) ?? [], KNOWN);

describe('formulas', () => {
  // worked by hand
  it.each([
    ['2.2 mm + 4 % of size', '4.36 mm'],
    ['swing', '0.6 mm'],
    ['2 * swing - 0.1 mm', '1.1 mm'],
    ['0.5 × far-swing', '0.1 mm'],
    ['50 % - swing', '50 % - 0.6 mm'],
    ['share + 1 mm', '30 % + 1 mm'],
    ['lean + 10 deg', '30 deg'],
    ['count', 5],
    ['2 * count', 10],
  ])('%s is %s', (text, expected) => {
    expect(cameTo(text)).toBe(expected);
  });

  it.each([
    '50 % - 1.1 mm',
    '4.5 mm',
    '20 deg',
    'half of it',
    'fit 3',
    '2 mm +',
    '+',
    '',
    '2 mm + 3 widgets',
  ])('%j is none', (text) => {
    expect(formulaTerms(text)).toBeUndefined();
  });

  it('say which name nothing has, and which units do not go together', () => {
    expect(cameTo('swnig + 1 mm')).toEqual({ unknown: 'swnig' });
    expect(cameTo('swing + lean')).toEqual({ units: ['mm', 'deg'] });
  });

  it('figures are read with their sign and unit', () => {
    expect(readQuantity('-0.5 mm')).toEqual({ value: -0.5, unit: 'mm' });
    expect(readQuantity('20°')).toEqual({ value: 20, unit: 'deg' });
    expect(readQuantity('swing')).toBeUndefined();
  });
});

const TEMPLATE = {
  title: 'Trial',
  section: 'flat-court',
  width: '2.2 mm + 4 % of size',
  thickness: '1.8 mm',
  let: { swing: { value: '0.5 mm', from: '0.3 mm', to: '0.9 mm' }, turns: 5 },
  sets: { rail: { alloy: 'yellow-18', soften: '0.5 * swing' } },
  lanes: { near: { as: 'rail' }, field: { finish: 'satin' }, far: { as: 'rail', finish: 'satin' } },
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

describe('a template', () => {
  it('comes to what its formulas and sets say, for a size and for a width of the grid', () => {
    const { raw, errors } = worked(TEMPLATE);
    expect(errors).toEqual([]);
    const read = templateSchema.parse(raw);
    expect(read.width).toBeCloseTo(4.4, 9);
    expect(read.seams.low).toMatchObject({ amplitude: { share: 0, mm: 0.5 }, waves: 5 });
    expect(read.seams.high).toMatchObject({ at: { share: 1, mm: -0.88 } });
    expect(read.lanes.near).toMatchObject({ alloy: 'yellow-18', finish: 'polished' });
    expect(read.lanes.far).toMatchObject({ alloy: 'yellow-18', finish: 'satin' });
    const wide = templateSchema.parse(worked(TEMPLATE, { size: 55, width: 6 }).raw);
    expect(wide.seams.high).toMatchObject({ at: { share: 1, mm: -1.2 } });
  });

  it('is refused beyond the limits that it lets, with the value and where it stands', () => {
    const let_ = { ...TEMPLATE.let, swing: { ...TEMPLATE.let.swing, value: '1.2 mm' } };
    const [error, ...more] = worked({ ...TEMPLATE, let: let_ }).errors;
    expect(error).toMatchObject({ code: 'out-of-range', path: 'let.swing', received: '1.2 mm' });
    expect(error.expected).toContain('from 0.3 mm to 0.9 mm');
    expect(more).toEqual([]);
  });

  it('says which set or name it lacks', () => {
    const { errors } = worked({
      ...TEMPLATE,
      lanes: { ...TEMPLATE.lanes, near: { as: 'rial' } },
      thickness: 'thick',
    });
    expect(errors.map(({ code, path }) => [code, path])).toEqual([
      ['unknown-name', 'lanes.near.as'],
      ['unknown-name', 'thickness'],
    ]);
  });
});
