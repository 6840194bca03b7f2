import { describe, expect, it } from 'vitest';
import { DRESS_RULES, dressChecks } from '../../pipeline/facts/dress-checks.ts';
import type { RowDesign, ShapeDesign } from '../../pipeline/plan/design.ts';
import { ALLOYS } from '../../pipeline/trade/alloys.ts';
import { HARD_METALS, SOFT_ALLOYS, STONE_CARE } from '../../pipeline/trade/bench-care.ts';
import { GERMAN_SOURCES } from '../../pipeline/trade/bench-rules-de.ts';
import { STONES } from '../../pipeline/trade/stones.ts';
import { bandDesign } from '../band/designs.ts';
import { PLAIN_GRAIN, rowDesign } from '../setting/stone-designs.ts';

const NAMES = { alloy: (id: string) => id, stone: (slot: number) => `stone ${slot}` };
const checksOf = (rule: string, design: ShapeDesign, alloys: string[], stones: string[] = []) =>
  dressChecks(design, { alloys, finishes: [], stones }, NAMES).filter((c) => c.rule === rule);
const rowed = (row: Partial<RowDesign> = {}) => bandDesign({ rows: [rowDesign(row)] });

const CLAWS = { style: 'shared-claws', clawDiameterMm: 0.5, clawHeightMm: 0.2 } as const;
const PRESSED = [
  PLAIN_GRAIN,
  { style: 'flush', lipMm: 0.06 },
  { style: 'channel', openingShare: 0.88 },
] as const;

describe('tables of the bench', () => {
  it('know every stone and only known alloys', () => {
    expect([...STONE_CARE.keys()].sort()).toEqual([...STONES.keys()].sort());
    for (const id of [...HARD_METALS, ...SOFT_ALLOYS]) expect(ALLOYS.has(id), id).toBe(true);
    // metals without a fineness are those that no goldsmith solders, beside gold in layers
    expect([...HARD_METALS].sort()).toEqual(
      [...ALLOYS.values()]
        .filter(({ metal, layers }) => metal === 'none' || layers)
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
    expect(of('single-cut')).toEqual([]);
    expect(of('princess').map(({ measured }) => measured)).toEqual(['stone 0: splits along its cleavage']);
    // corundum has no cleavage; a channel's walls keep corners from blows: common practice
    expect(checksOf('stone-care', rowed({ cut: 'princess' }), ['yellow-18'], ['ruby'])).toEqual([]);
    const channelled = rowed({ cut: 'princess', setting: { style: 'channel', openingShare: 0.88 } });
    expect(checksOf('stone-care', channelled, ['yellow-18'], ['diamond'])).toEqual([]);
  });

  it('that are not known have nothing told of them', () => {
    expect(checksOf('stone-care', rowed(), ['yellow-18'], ['glass'])).toEqual([]);
  });

  it('are called oiled only where they mostly are', () => {
    // orchid 70681: emeralds are mostly oiled; amethyst bleaches in heat (Gems & Gemology 23), and is not oiled
    const told = (stone: string) =>
      checksOf('stone-care', rowed(), ['yellow-18'], [stone]).map(({ measured, passed }) => [
        measured,
        passed,
      ]);
    expect(told('emerald')).toEqual([
      ['stone 0: mostly oiled; no torch, no ultrasonic or steam cleaner', false],
    ]);
    for (const id of ['amethyst', 'aquamarine', 'morganite', 'black-diamond'])
      expect(told(id)).toEqual([['stone 0: spoilt by a torch', false]]);
  });

  it('of a row of several sorts are each told by its own slot', () => {
    const small = { name: 'small', cut: 'round-brilliant' as const, diameterMm: 1 };
    const design = rowed({ alternate: [small, { ...small, name: 'least' }] });
    const found = checksOf('stone-care', design, ['yellow-18'], ['diamond', 'emerald', 'amethyst']);
    expect(found.map(({ place, measured }) => [place, measured.split(':')[0]])).toEqual([
      ["row 'small'", 'stone 1'],
      ["row 'least'", 'stone 2'],
    ]);
  });

  it('are those of the slot that the row wears', () => {
    const design = bandDesign({
      rows: [rowDesign({ setting: PLAIN_GRAIN }), rowDesign({ setting: PLAIN_GRAIN })],
    });
    const found = checksOf('stone-care', design, ['yellow-18'], ['diamond', 'emerald']);
    expect(found[0].measured).toContain('stone 1');
  });
});

describe('claws', () => {
  it('and grains cannot be raised from titanium, tantalum or zirconium', () => {
    for (const setting of [CLAWS, PLAIN_GRAIN])
      for (const id of ALLOYS.keys()) {
        const failed = checksOf('claw-metal', rowed({ setting }), [id], ['diamond']);
        expect(failed.map(({ passed, severity }) => [passed, severity])).toEqual(
          HARD_METALS.has(id) ? [[false, 'error']] : [],
        );
      }
    expect(checksOf('claw-metal', rowed({ setting: PRESSED[1] }), ['titanium'], ['diamond'])).toEqual([]);
    const place = (setting: RowDesign['setting']) =>
      checksOf('claw-metal', rowed({ setting }), ['titanium'], ['diamond'])[0].place;
    expect([place(CLAWS), place(PLAIN_GRAIN)]).toEqual(["claws of row 'row'", "grains of row 'row'"]);
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
    // a design on the limit itself passes
    expect(passed('yellow-22', least)).toEqual([[true, 'warning']]);
    // shared claws follow the stones of a graduated row, a head's claws don't
    const graduate = { toMm: diameterMm / 2, throughMm: [diameterMm / 4], stepMm: 0.05 };
    const measured = (setting: RowDesign['setting']) =>
      checksOf('soft-claws', rowed({ diameterMm, graduate, setting }), ['silver-925'], ['diamond'])[0]
        .measured;
    expect(measured({ ...CLAWS, clawDiameterMm: 0.8 })).toBe('0.20 mm');
    const head = {
      style: 'head',
      claws: 4,
      clawDiameterMm: 0.8,
      clawHeightMm: 0.3,
      wallMm: 0.4,
      taperRad: 0.2,
    } as const;
    expect(measured(head)).toBe('0.80 mm');
    for (const setting of PRESSED)
      expect(checksOf('soft-claws', rowed({ diameterMm, setting }), ['silver-925'], ['diamond'])).toEqual([]);
  });

  it('of soft alloys go by the mean of length and width', () => {
    // 1 × 2 mm: as a stone of 1.5 mm, 1.2 · 0.5 mm
    const [check] = checksOf(
      'soft-claws',
      rowed({ cut: 'baguette', diameterMm: 1, lengthMm: 2, setting: CLAWS }),
      ['silver-925'],
      ['diamond'],
    );
    expect(check.limit).toBe('at least 0.60 mm');
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
    const other = { ...beside, lanes: [{ ...near, inlay: { depthMm: 0.5, bed: 'far' } }, far] };
    expect(joint(other, 'titanium', 'yellow-18')).toEqual(['info']);
    const told = (design: ShapeDesign) => checksOf('metal-joint', design, ['titanium', 'yellow-18'])[0];
    expect(told(beside)).toMatchObject({
      passed: false,
      limit: 'metals that can be soldered to each other',
      measured: 'titanium beside yellow-18',
      place: "lanes 'near' and 'far'",
    });
    expect(told(inlaid).limit).toBe('pressed into an undercut channel, not soldered');
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
    expect(cut(grooved, 'yellow-18', 'zirconium-black')).toHaveLength(1);
    expect(cut(bandDesign(TWO), 'zirconium-black', 'zirconium-black')).toEqual([]);
    expect(checksOf('oxide-cut', rowed(), ['zirconium-black'], ['diamond'])[0].passed).toBe(false);
    const outside = { lane: 'far' } as NonNullable<ShapeDesign['engraving']>['outside'];
    const lettered = bandDesign({ ...TWO, engraving: { outside } as ShapeDesign['engraving'] });
    expect(cut(lettered, 'yellow-18', 'zirconium-black')).toEqual([
      ["outside engraving on lane 'far'", 'warning'],
    ]);
    expect(cut(lettered, 'zirconium-black', 'yellow-18')).toEqual([]);
  });

  // Gardiner and others 2013: titanium defeats standard ring cutters
  it('that an ordinary ring cutter does not get through are told, each once', () => {
    const hard = (...alloys: string[]) =>
      checksOf('emergency-metal', bandDesign(TWO), alloys).map(({ measured, severity }) => [
        measured,
        severity,
      ]);
    expect(hard('titanium', 'titanium')).toEqual([['titanium', 'info']]);
    for (const { passed } of checksOf('emergency-metal', bandDesign(TWO), ['titanium', 'titanium']))
      expect(passed).toBe(false);
    expect(hard('tantalum', 'zirconium-black')).toHaveLength(2);
    expect(hard('yellow-18', 'platinum-950')).toEqual([]);
  });
});
