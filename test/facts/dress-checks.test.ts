import { describe, expect, it } from 'vitest';
import { DRESS_RULES, dressChecks } from '../../pipeline/facts/dress-checks.ts';
import type { RowDesign, ShapeDesign } from '../../pipeline/plan/design.ts';
import { ALLOYS } from '../../pipeline/trade/alloys.ts';
import { HARD_METALS, SOFT_ALLOYS, STONE_CARE } from '../../pipeline/trade/bench-care.ts';
import { GERMAN_SOURCES } from '../../pipeline/trade/bench-words-de.ts';
import { STONES } from '../../pipeline/trade/stones.ts';
import { bandDesign } from '../band/designs.ts';
import { rowDesign } from '../setting/stone-designs.ts';

const NAMES = { alloy: (id: string) => id, stone: (slot: number) => `stone ${slot}` };
const checksOf = (rule: string, design: ShapeDesign, alloys: string[], stones: string[] = []) =>
  dressChecks(design, { alloys, finishes: [], stones }, NAMES).filter((c) => c.rule === rule);
const rowed = (row: Partial<RowDesign> = {}) => bandDesign({ rows: [rowDesign(row)] });

const CLAWS = { style: 'shared-claws', clawDiameterMm: 0.5, clawHeightMm: 0.2 } as const;
const GRAIN = {
  style: 'grain',
  grainMm: 0.3,
  grains: 'own',
  fieldMm: 0.2,
  fieldDepthMm: 0.1,
  brightCut: false,
} as const;
const PRESSED = [GRAIN, { style: 'flush', lipMm: 0.06 }, { style: 'channel', openingShare: 0.88 }] as const;

describe('tables of the bench', () => {
  it('know every stone and only known alloys', () => {
    expect([...STONE_CARE.keys()].sort()).toEqual([...STONES.keys()].sort());
    for (const id of [...HARD_METALS, ...SOFT_ALLOYS]) expect(ALLOYS.has(id), id).toBe(true);
    // metals without a fineness are those that no goldsmith solders
    expect([...HARD_METALS].sort()).toEqual(
      [...ALLOYS.values()]
        .filter(({ metal }) => metal === 'none')
        .map(({ id }) => id)
        .sort(),
    );
  });

  it('cite in German the addresses that the rules cite', () => {
    const addresses = (text: string) => text.match(/[a-z\d]+(?:\.[a-z]+)+(?:\/[\w\-./?=]*[\w/])?/g) ?? [];
    for (const { rule, source } of DRESS_RULES)
      expect(addresses(GERMAN_SOURCES[rule]).sort(), rule).toEqual(addresses(source).sort());
  });
});

describe('stones', () => {
  // orchid 70681: emeralds are full of cracks and mostly oiled; orchid 36223: diamond, ruby and sapphire bear heat
  it('that chip are warned of where metal is pressed onto them, not in claws', () => {
    for (const setting of PRESSED) {
      const warned = (stone: string) =>
        checksOf('stone-care', rowed({ setting }), ['yellow-18'], [stone]).filter(
          (c) => c.severity === 'warning',
        );
      for (const brittle of ['emerald', 'aquamarine', 'morganite', 'amethyst']) {
        expect(warned(brittle)).toHaveLength(1);
        expect(warned(brittle)[0].passed).toBe(false);
      }
      for (const tough of ['diamond', 'ruby', 'sapphire-blue', 'sapphire-pink', 'moissanite'])
        expect(warned(tough)).toEqual([]);
    }
    const inClaws = checksOf('stone-care', rowed({ setting: CLAWS }), ['yellow-18'], ['emerald']);
    expect(inClaws.map(({ severity }) => severity)).toEqual(['info']);
    expect(inClaws[0].measured).toContain('oiled');
  });

  it('that bear no torch are noted in every setting, others never', () => {
    const noted = (stone: string) =>
      checksOf('stone-care', rowed(), ['yellow-18'], [stone]).some((c) => c.limit.includes('soldering'));
    expect([...STONES.keys()].filter(noted).sort()).toEqual(
      ['amethyst', 'aquamarine', 'black-diamond', 'emerald', 'morganite'].sort(),
    );
  });

  it('that cleave are noted with corners, not round', () => {
    const of = (cut: RowDesign['cut']) => checksOf('stone-care', rowed({ cut }), ['yellow-18'], ['diamond']);
    expect(of('round-brilliant')).toEqual([]);
    expect(of('princess').map(({ measured }) => measured)).toEqual(['stone 0: splits along its cleavage']);
  });

  it('are those of the slot that the row wears', () => {
    const design = bandDesign({ rows: [rowDesign({ setting: GRAIN }), rowDesign({ setting: GRAIN })] });
    const found = checksOf('stone-care', design, ['yellow-18'], ['diamond', 'emerald']);
    expect(found[0].measured).toContain('stone 1');
  });
});

describe('claws', () => {
  it('and grains cannot be raised from titanium, tantalum or zirconium', () => {
    for (const setting of [CLAWS, GRAIN])
      for (const id of ALLOYS.keys()) {
        const failed = checksOf('claw-metal', rowed({ setting }), [id], ['diamond']);
        expect(failed.map(({ passed, severity }) => [passed, severity])).toEqual(
          HARD_METALS.has(id) ? [[false, 'error']] : [],
        );
      }
    expect(checksOf('claw-metal', rowed({ setting: PRESSED[1] }), ['titanium'], ['diamond'])).toEqual([]);
  });

  it.each([
    // 1.2 times the usual 0.35, 0.5 and 0.7 mm: common practice
    [1, 0.42],
    [1.5, 0.6],
    [2.5, 0.84],
  ])('of soft alloys at %d mm stones want %d mm', (diameterMm, least) => {
    const passed = (alloy: string, clawDiameterMm: number) =>
      checksOf(
        'soft-claws',
        rowed({ diameterMm, setting: { ...CLAWS, clawDiameterMm } }),
        [alloy],
        ['diamond'],
      ).map((c) => [c.passed, c.severity]);
    for (const alloy of ['silver-925', 'yellow-22']) {
      expect(passed(alloy, least + 1e-4)).toEqual([[true, 'warning']]);
      expect(passed(alloy, least - 1e-4)).toEqual([[false, 'warning']]);
    }
    expect(passed('yellow-18', 0.1)).toEqual([]);
  });
});

const TWO: Partial<ShapeDesign> = {
  seams: [{ kind: 'straight', atMm: 0 }],
  lanes: ['near', 'far'].map((name) => ({ name, recessMm: 0, softenMm: 0 })),
};

describe('metals', () => {
  it('that cannot be soldered are warned of side by side, and noted as inlays', () => {
    const joint = (design: ShapeDesign, ...alloys: string[]) =>
      checksOf('metal-joint', design, alloys).map(({ severity }) => severity);
    const beside = bandDesign(TWO);
    expect(joint(beside, 'titanium', 'yellow-18')).toEqual(['warning']);
    expect(joint(beside, 'titanium', 'tantalum')).toEqual(['warning']);
    expect(joint(beside, 'titanium', 'titanium')).toEqual([]);
    expect(joint(beside, 'platinum-950', 'yellow-18')).toEqual([]);
    const [near, far] = beside.lanes;
    const inlaid = { ...beside, lanes: [near, { ...far, inlay: { depthMm: 0.5, bed: 'near' } }] };
    expect(joint(inlaid, 'titanium', 'yellow-18')).toEqual(['info']);
  });

  it('whose black is a skin are cut before they are blackened', () => {
    const cut = (design: ShapeDesign, ...alloys: string[]) =>
      checksOf('oxide-cut', design, alloys, ['diamond']).map(({ place, severity }) => [place, severity]);
    expect(cut(rowed(), 'zirconium-black')).toEqual([["row 'row'", 'warning']]);
    expect(cut(rowed(), 'titanium')).toEqual([]);
    const groove = { widthMm: 0.4, depthMm: 0.2, profile: 'v' as const };
    const grooved = bandDesign({
      ...TWO,
      seams: [{ kind: 'straight', atMm: 0, marks: { seam: 'line', groove } }],
    });
    expect(cut(grooved, 'zirconium-black', 'yellow-18')).toEqual([["groove of seam 'line'", 'warning']]);
    expect(cut(grooved, 'yellow-18', 'yellow-18')).toEqual([]);
  });

  // Gardiner and others 2013: titanium defeats standard ring cutters
  it('that an ordinary ring cutter does not get through are told, each once', () => {
    const hard = (...alloys: string[]) =>
      checksOf('emergency-metal', bandDesign(TWO), alloys).map(({ measured, severity }) => [
        measured,
        severity,
      ]);
    expect(hard('titanium', 'titanium')).toEqual([['titanium', 'info']]);
    expect(hard('tantalum', 'zirconium-black')).toHaveLength(2);
    expect(hard('yellow-18', 'platinum-950')).toEqual([]);
  });
});
