import { describe, expect, it } from 'vitest';
import { metalChecks } from '../../pipeline/facts/metal-checks.ts';
import { ALLOYS } from '../../pipeline/trade/alloys.ts';

const metal = (alloy: string, massG: number) => ({
  alloy,
  name: ALLOYS.get(alloy)!.description,
  lanes: ['band'],
  volumeMm3: 1,
  massG,
});
const checksOf = (...metals: ReturnType<typeof metal>[]) => metalChecks(metals);

describe('hallmark masses', () => {
  // UK Hallmarking Act 1973 (anchorcertacademy.net): gold 1 g, silver 7.78 g, platinum 0.5 g, palladium 1 g;
  // Netherlands (ewnederland.nl): gold 1 g, silver 8 g, platinum 0.5 g; Ireland (jewelleryfocus.co.uk): none exempt
  it.each([
    ['yellow-18', 'gold', '1 g in the UK, 1 g in the Netherlands, 0 g in Ireland'],
    ['sterling', 'silver', '7.78 g in the UK, 8 g in the Netherlands, 0 g in Ireland'],
    ['platinum-950', 'platinum', '0.5 g in the UK, 0.5 g in the Netherlands, 0 g in Ireland'],
  ])('of %s are told by country, as information', (alloy, kind, limits) => {
    const id = [...ALLOYS.keys()].find((name) => name === alloy || ALLOYS.get(name)!.metal === kind)!;
    const [check] = checksOf(metal(id, 4)).filter(({ rule }) => rule === 'hallmark-mass');
    expect(check).toMatchObject({
      severity: 'info',
      measured: '4.00 g',
      limit: `hallmark due from ${limits}`,
    });
    expect(check.place).toContain(`described as ${kind}`);
  });

  it('count all metal of a band, whatever its alloys', () => {
    const [check, ...more] = checksOf(metal('yellow-18', 2), metal('rose-18', 3)).filter(
      ({ rule }) => rule === 'hallmark-mass',
    );
    expect(check.measured).toBe('5.00 g');
    expect(more).toEqual([]);
  });
});

describe('metals without a fineness', () => {
  it('are asked for no hallmark, and Dutch law names no palladium', () => {
    expect(checksOf(metal('titanium', 40))).toEqual([]);
    const [palladium] = checksOf(metal('palladium-950', 4));
    expect(palladium.limit).toBe('hallmark due from 1 g in the UK');
  });
});

describe('hallmark masses just below and just above', () => {
  // palladium 1 g in the UK alone; every other metal is due in Ireland from the first gram
  it('leave a lighter band of palladium free and ask for marks from the limit on', () => {
    const passed = (grams: number) =>
      checksOf(metal('palladium-950', grams)).find(({ rule }) => rule === 'hallmark-mass')!.passed;
    expect(passed(0.999)).toBe(true);
    expect(passed(1)).toBe(false);
    expect(passed(4)).toBe(false);
  });

  it('never leave gold free, which Ireland marks at any mass', () => {
    const [check] = checksOf(metal('yellow-18', 0.5)).filter(({ rule }) => rule === 'hallmark-mass');
    expect(check.passed).toBe(false);
  });
});

describe('nickel', () => {
  it('is told of every alloy whose composition names it, and of no other', () => {
    for (const [id, { composition }] of ALLOYS) {
      const told = checksOf(metal(id, 4)).filter(({ rule }) => rule === 'nickel-release');
      if (composition?.Ni) {
        expect(told[0].measured).toBe(`${composition.Ni} % nickel`);
        // REACH: only a test of the finished ring (EN 1811) can pass it
        expect(told[0]).toMatchObject({ passed: false, severity: 'info' });
      } else if (composition) expect(told).toEqual([]);
    }
    expect(checksOf(metal('white-14-nickel', 4)).map(({ rule }) => rule)).toContain('nickel-release');
  });
});
