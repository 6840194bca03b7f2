import { expect, it } from 'vitest';
import { dressChecks } from '../../pipeline/facts/dress-checks.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import { ALLOYS } from '../../pipeline/trade/alloys.ts';
import { HARD_METALS, MATERIAL_CARE } from '../../pipeline/trade/bench-care.ts';
import { BENCH_RULE_NAMES } from '../../pipeline/trade/bench-limits.ts';
import { bandDesign } from '../band/designs.ts';

const NAMES = { alloy: (id: string) => id, stone: () => 'diamond' };
const checksOf = (rule: string, design: ShapeDesign, ...alloys: string[]) =>
  dressChecks(design, { alloys, finishes: [], stones: [] }, NAMES).filter((c) => c.rule === rule);

const THREE: Partial<ShapeDesign> = {
  seams: [-0.8, 0.8].map((atMm) => ({ kind: 'straight', atMm })),
  lanes: ['near', 'strip', 'far'].map((name) => ({ name, recessMm: 0, softenMm: 0 })),
};

it('tells of every material that cannot be soldered, and of no metal of the bench, what cannot be done to it', () => {
  for (const id of ALLOYS.keys()) {
    const told = checksOf('material-care', bandDesign(), id);
    expect(told.length > 0, id).toBe((MATERIAL_CARE.get(id)?.forbids.length ?? 0) > 0);
  }
  for (const [id, { forbids }] of MATERIAL_CARE) {
    expect(ALLOYS.has(id), id).toBe(true);
    if (forbids.includes('no-soldering')) expect(HARD_METALS.has(id), id).toBe(true);
  }
  // what no solder takes on is never cut and closed again
  for (const id of HARD_METALS)
    expect(checksOf('material-care', bandDesign(), id)[0].measured, id).toMatch(/resized|never smaller/);
  expect(checksOf('material-care', bandDesign(), 'carbon-fibre')[0]).toMatchObject({
    severity: 'info',
    measured:
      'carbon-fibre: cannot be resized, made anew, cannot be soldered, no heat, no ultrasonic cleaner, no steam cleaner',
    place: 'lanes all',
  });
});

// common practice: 1.5 mm
it.each([
  [1.5, true],
  [1.499, false],
])('a ceramic ring %f mm thick is warned of: %s', (thicknessMm, passed) => {
  const [check] = checksOf('brittle-wall', bandDesign({ thicknessMm }), 'ceramic-black');
  expect(check).toMatchObject({ severity: 'warning', passed });
});

it('an inlay is carried by its bed, and enamel has to be one', () => {
  const through = bandDesign({ ...THREE, thicknessMm: 1.2 });
  const inlaid = bandDesign({
    ...THREE,
    thicknessMm: 1.2,
    lanes: THREE.lanes!.map((lane, i) =>
      i === 1 ? { ...lane, inlay: { depthMm: 0.4, bed: 'near' } } : lane,
    ),
  });
  const alloys = (id: string) => ['yellow-18', id, 'yellow-18'];
  expect(checksOf('brittle-wall', through, ...alloys('ceramic-black')).map((c) => c.passed)).toEqual([false]);
  expect(checksOf('brittle-wall', inlaid, ...alloys('ceramic-black'))).toEqual([]);
  expect(checksOf('enamel-bed', through, ...alloys('enamel-black'))[0]).toMatchObject({
    severity: 'error',
    passed: false,
    measured: 'goes through to the bore',
  });
  expect(checksOf('enamel-bed', inlaid, ...alloys('enamel-black'))[0].passed).toBe(true);
});

it('a plating is told with its thickness, and one without has none', () => {
  const [check] = checksOf('plating-wear', bandDesign(), 'white-18-black-rhodium');
  expect(check.measured).toBe('0.2 to 0.5 µm, worn through in time');
  const [gilt] = checksOf('plating-wear', bandDesign(), 'silver-925-gilt');
  expect(gilt.measured).toBe('2.5 to 5 µm, worn through in time');
  expect(checksOf('plating-wear', bandDesign(), 'white-18')).toEqual([]);
  for (const rule of ['material-care', 'brittle-wall', 'plating-wear', 'enamel-bed'])
    expect(BENCH_RULE_NAMES).toContain(rule);
});

// common practice: 2 mm where no metal carries it, from memory
it.each([
  [2, true],
  [1.999, false],
])('a ring of wood alone %f mm thick is warned of: %s', (thicknessMm, passed) => {
  const [check] = checksOf('brittle-wall', bandDesign({ thicknessMm }), 'wood-oak');
  expect(check).toMatchObject({ severity: 'warning', passed });
});

it('enamel of every colour lies in a bed, and nothing made of layers, wood or resin is soldered', () => {
  const through = bandDesign(THREE);
  for (const id of ['enamel-white', 'enamel-red', 'enamel-blue', 'enamel-green'])
    expect(checksOf('enamel-bed', through, 'yellow-18', id, 'yellow-18')[0].passed, id).toBe(false);
  for (const { id, body, layers } of ALLOYS.values())
    if (body || layers) expect(MATERIAL_CARE.get(id)?.forbids, id).toContain('no-soldering');
  expect(checksOf('material-care', bandDesign(), 'wood-walnut')[0].measured).toMatch(
    /cannot be resized, made anew, .*no heat, no ultrasonic cleaner/,
  );
});

it('steel warns of nickel, and mixed metals of what they may be called', () => {
  expect(ALLOYS.get('damask-steel')!.cautions.join(' ')).toMatch(/nickel.*EN 1811/);
  expect(ALLOYS.get('mokume-rose-silver')!.cautions.join(' ')).toMatch(/local law/);
  // both are 18 ct gold: so is the whole
  expect(ALLOYS.get('mokume-rose-white')).toMatchObject({ metal: 'gold', fineness: 750 });
});
