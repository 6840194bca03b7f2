import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Catalogue, catalogueSchema } from '../../pipeline/facts/catalogue-schema.ts';
import { makeCatalogue } from '../../pipeline/run/make.ts';
import { verifyCatalogue } from '../../pipeline/run/verifying.ts';
import { createTracerSession } from '../../pipeline/tracer/session.ts';
import { planOf, problemsOf } from '../plan/workspace.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-comparing-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const CONFIG = `
catalogue: pairs
title: Pairs
workshop: Test bench
template: two-tone-straight
overrides: { chord-tolerance: 0.1 mm }
grid:
  size: [ISO 54]
  metal: [yellow-18, rose-18, white-18-rhodium]
shots: [three-quarter]
lights: side-window
frame: [160 px, 160 px]
quality: { noise: 12 %, passes: 24 }
outputs:
  images: [{ format: png, widths: [160] }]
  compare: [three-quarter]
sku: P-{metal}
`;

let catalogue: Catalogue;
const make = async (text = CONFIG) => {
  const { plan } = await planOf(text);
  const result = await makeCatalogue(plan, {
    out: folder,
    openTracer: () => createTracerSession({ workers: 2 }),
    report: () => {},
    signal: new AbortController().signal,
  });
  expect([...result.failed.values()]).toEqual([]);
  return result;
};

beforeAll(async () => {
  await make();
  catalogue = catalogueSchema.parse(JSON.parse(readFileSync(join(folder, 'pairs/catalogue.json'), 'utf8')));
});

const of = (metal: string) => {
  const found = catalogue.comparisons?.find((c) => c.skus[0].includes(metal));
  if (!found) throw new Error(`no comparison of ${metal}`);
  return found;
};
const hue = ([, a, b]: readonly number[]) => (Math.atan2(b, a) * 180) / Math.PI;
const chroma = ([, a, b]: readonly number[]) => Math.hypot(a, b);

describe('a traced picture beside its model', () => {
  it('is near in the colour of each metal', () => {
    expect(catalogue.comparisons).toHaveLength(3);
    for (const { traced, model, deltaE, pixels } of catalogue.comparisons ?? []) {
      expect(pixels).toBeGreaterThan(1000);
      // bound of our own: most of it is lightness, which a band takes from itself and the drawing does not know
      expect(deltaE).toBeLessThan(5);
      expect(Math.abs(chroma(traced) - chroma(model))).toBeLessThan(4);
    }
    // white metal is too grey for a hue
    for (const metal of ['Y18', 'R18'])
      expect(Math.abs(hue(of(metal).traced) - hue(of(metal).model))).toBeLessThan(4);
  });

  it('ranks metals alike: rose redder than yellow, both far from white', () => {
    for (const kind of ['traced', 'model'] as const) {
      const [yellow, rose, white] = ['Y18', 'R18', 'W18'].map((m) => of(m)[kind]);
      expect(hue(yellow) - hue(rose)).toBeGreaterThan(10);
      expect(chroma(white)).toBeLessThan(chroma(rose) / 3);
      expect(chroma(rose)).toBeLessThan(chroma(yellow) + 2);
      expect(white[0]).toBeGreaterThan(rose[0]);
    }
    // each drawing is nearer to its own picture than to that of another metal
    const all = catalogue.comparisons ?? [];
    for (const { skus, model } of all) {
      const away = (c: (typeof all)[number]) => Math.hypot(c.traced[1] - model[1], c.traced[2] - model[2]);
      expect(all.reduce((p, q) => (away(q) < away(p) ? q : p)).skus).toEqual(skus);
    }
  });

  it('shows both from the same place: their outlines meet', async () => {
    const { file, width, height } = of('Y18');
    const { data, info } = await sharp(join(folder, 'pairs', file))
      .raw()
      .toBuffer({ resolveWithObject: true });
    expect([info.width, info.height]).toEqual([width, height]);
    const side = 160;
    const ink = (x: number, y: number) => data[(y * width + x) * info.channels + 2] < 215;
    let both = 0;
    let either = 0;
    for (let y = 0; y < height; y++)
      for (let x = 0; x < side; x++) {
        const [left, right] = [ink(x, y), ink(x + width - side, y)];
        if (left && right) both++;
        if (left || right) either++;
      }
    // the shadow on the ground is in the traced one alone
    expect(both / either).toBeGreaterThan(0.8);
  });

  it('is published with a page, kept, verified, and taken away when it is asked for no more', async () => {
    const page = readFileSync(join(folder, 'pairs/comparison.html'), 'utf8');
    for (const { file, deltaE } of catalogue.comparisons ?? []) {
      expect(page).toContain(file);
      expect(page).toContain(`ΔE ${deltaE.toFixed(1)}`);
    }
    expect((await make()).upToDate).toBe(true);
    expect((await verifyCatalogue(folder, 'pairs', { remove: false })).damage).toEqual([]);
    await make(CONFIG.replace('  compare: [three-quarter]\n', ''));
    expect(() => readFileSync(join(folder, 'pairs', of('Y18').file))).toThrow();
    expect(() => readFileSync(join(folder, 'pairs/comparison.html'))).toThrow();
  });
});

it('outputs.compare names still shots of one band, and wants models', async () => {
  const wrong = CONFIG.replace('compare: [three-quarter]', 'compare: [front]');
  expect((await problemsOf(wrong)).map((p) => [p.code, p.path])).toEqual([
    ['unknown-shot', 'outputs.compare[0]'],
  ]);
  const without = CONFIG.replace('  compare:', '  glb: false\n  compare:');
  expect((await problemsOf(without)).map((p) => p.code)).toEqual(['compare-without-glb']);
});
