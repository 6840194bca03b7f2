import { describe, expect, it } from 'vitest';
import { config, planOf, problemsOf } from './workspace.ts';

const shotsOf = async (lines: string) => (await planOf(config({ shots: lines }))).plan.shots;

describe('ground', () => {
  it('is white unless said, for all shots or for one; colours are linear or sRGB codes', async () => {
    const shots = await shotsOf(`ground: clear
shots:
  - front
  - { name: b, view: front, ground: white }
  - { name: c, view: front, ground: { kind: sweep, colour: [0.5, 0.25, 0.125] } }
  - { name: d, view: front, ground: { kind: gloss, colour: "#808080" } }
  - { name: e, view: front, ground: sweep }`);
    expect(shots.map((s) => s.ground.kind)).toEqual(['clear', 'white', 'sweep', 'gloss', 'sweep']);
    expect(shots[2].ground).toEqual({ kind: 'sweep', colour: [0.5, 0.25, 0.125] });
    // IEC 61966-2-1: code 128 is linear 0.2159
    expect('colour' in shots[3].ground && shots[3].ground.colour[1]).toBeCloseTo(0.2159, 4);
    const [plain] = await shotsOf('shots: [front]');
    expect(plain.ground).toEqual({ kind: 'white' });
  });

  it('warns when nothing that is written can be transparent', async () => {
    const outputs = 'outputs: { images: [{ format: jpeg, widths: [600] }] }';
    const { warnings } = await planOf(config({ shots: 'shots: [{ view: front, ground: clear }]', outputs }));
    expect(warnings.map((w) => w.code)).toEqual(['clear-without-alpha']);
  });
});

describe('lens opening', () => {
  it.each([
    ['f/16', { fNumber: 16 }],
    ['F11', { fNumber: 11 }],
    ['2.5 mm', { mm: 2.5 }],
    ['3', { mm: 3 }],
    ['gentle', { gentle: true }],
  ])('%s', async (written, aperture) => {
    const [shot] = await shotsOf(`shots: [{ view: front, aperture: ${written} }]`);
    expect(shot.aperture).toEqual(aperture);
  });
});

describe('scale', () => {
  it('true: the largest measures of all sizes, each by itself, with room for stones; macros keep their own', async () => {
    const [front, macro] = await shotsOf('scale: true\nshots: [front, macro]');
    // ISO 60 is the larger size: 60/π mm across; the template is 1.9 mm thick and 5 mm wide
    expect(front.scale).toEqual({
      largest: { innerDiameterMm: expect.closeTo(60 / Math.PI, 9), thicknessMm: 2.4, widthMm: 5 },
    });
    expect(macro.scale).toBeUndefined();
  });

  it('a length: the frame’s width; one that would crop is warned of', async () => {
    const { plan, warnings } = await planOf(config({ shots: 'shots: [{ view: front, scale: 20 mm }]' }));
    expect(plan.shots[0].scale).toEqual({ frameMm: 20 });
    expect(warnings.map((w) => w.code)).toEqual(['scale-crops']);
    expect((await planOf(config({ shots: 'shots: [{ view: front, scale: 34 mm }]' }))).warnings).toEqual([]);
  });
});

describe('turntable', () => {
  it('is one shot a frame, numbered, at even turns, of the variants that "when" names', async () => {
    const { plan } = await planOf(
      config({
        shots:
          'shots: [front, { name: spin, view: turntable, frames: 24, when: { size: ISO 53, metal: white-18 } }]',
      }),
    );
    const spins = plan.shots.filter((s) => s.view === 'turntable');
    expect(spins.map((s) => s.name).slice(0, 2)).toEqual(['spin-01', 'spin-02']);
    expect(spins).toHaveLength(24);
    expect(spins[6].turn).toEqual({ angle: expect.closeTo(Math.PI / 2, 12), frame: 7, of: 24 });
    const served = plan.takes
      .flatMap((t) => t.colourways.flatMap((c) => c.pictures))
      .filter((p) => p.shot !== 'front');
    // one size and metal, two stones of unlike optics
    expect(served).toHaveLength(24 * 2);
    for (const p of served) expect(p.sku).toMatch(/ISO53-W18/);
  });

  it.each([
    ['too few frames', '{ view: turntable, frames: 12 }', 'out-of-range'],
    ['frames of a still', '{ view: front, frames: 24 }', 'frames-without-turntable'],
    ['an unknown axis', '{ view: front, when: { sizes: ISO 53 } }', 'unknown-axis'],
  ])('reports %s', async (_, shot, code) => {
    const problems = await problemsOf(config({ shots: `shots: [${shot}]` }));
    expect(problems.map((p) => p.code)).toEqual([code]);
    expect(problems[0].place?.line).toBe(7);
  });
});
