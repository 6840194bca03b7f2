import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, expect, it } from 'vitest';
import type { RunEvent } from '../../pipeline/artefacts/events.ts';
import { catalogueSchema } from '../../pipeline/facts/catalogue-schema.ts';
import { makeCatalogue } from '../../pipeline/run/make.ts';
import type { Film, Tracer } from '../../pipeline/tracer/tracer.ts';
import { catalogueFaults } from '../catalogue-faults.ts';
import { planOf } from '../plan/workspace.ts';
import { emptyGuide } from './grey-take.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-outputs-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Grey films on white with a matte: what is tested here is everything but the light. */
const GREY: Tracer = {
  trace: async (scene, options) => {
    const { width, height, colourways, ground } = scene;
    const film = (v: number): Film => ({ width, height, data: new Float32Array(3 * width * height).fill(v) });
    const planes = colourways.map(() => film(0.4));
    if (ground.kind === 'clear') planes.push(film(0.5));
    for (const [plane, made] of planes.entries()) await options.onFilm?.(made, plane);
    await emptyGuide(scene, options);
    return {
      films: [],
      error: 0.01,
      passes: 1,
      paths: 1,
      seconds: 0.1,
    };
  },
  print: async (html) => Buffer.from(`%PDF of ${html.length}`),
  close: async () => {},
};

const CONFIG = `
catalogue: all
title: All
workshop: Test bench
template: tideline
overrides: { chord-tolerance: 0.1 mm, rows: { crest: { coverage: 60 deg } } }
origins: { diamond: laboratory-grown }
grid:
  size: [ISO 54]
  metal:
    - { label: Two, slug: T, value: { near-shore: white-18, tide: yellow-18, far-shore: white-18 } }
    - yellow-18
  stone: [diamond]
pairs:
  - { name: duo, when: { metal: Two }, partner: { size: ISO 60, stones: false } }
shots: [front, { name: cut-out, view: front, ground: clear }, { name: swept, view: front, ground: sweep }, pair]
frame: 64 px
shop: { base-url: "https://example.com/bands/", picture: { width: 500 } }
proofs: { pairs: true }
outputs:
  frames: { square: 1:1, wide: 16:9 }
  files: "{sku}-{shot}-{output}-{frame}-{width}"
  images:
    - { format: webp, widths: [64, 32], frames: [full, square, wide] }
    - { format: png, widths: [64], frames: [square], name: press, watermark: false }
  glb: { compression: draco }
  sheets: { publish: true }
  caster: { publish: true }
  swatches: { metals: true }
sku: A-{metal}
`;

it('shop, frames, swatches, caster, sheets and proofs stand beside each other, every file as it is named', async () => {
  const { plan } = await planOf(CONFIG);
  const events: RunEvent[] = [];
  const run = () =>
    makeCatalogue(plan, {
      out: folder,
      openTracer: async () => GREY,
      report: (event) => events.push(event),
      signal: new AbortController().signal,
    });
  const first = await run();
  expect([...first.failed.values()]).toEqual([]);
  const root = join(folder, 'all');
  const catalogue = catalogueSchema.parse(JSON.parse(readFileSync(join(root, 'catalogue.json'), 'utf8')));

  const names = readdirSync(join(root, 'A-T'));
  expect(names).toContain('A-T-front-main-full-64.webp');
  // a square round the band is narrower than the film, and never enlarged
  expect(names.filter((n) => /^A-T-front-press-square-\d\d\.png$/.test(n))).toHaveLength(1);
  const { shots } = catalogue.items[0];
  const refused = events.flatMap((e) =>
    e.event === 'warning' && e.message.startsWith('no ') ? [e.message] : [],
  );
  // a sweep cannot be carried on to 16:9; said once, not for every picture
  expect(refused).toEqual([expect.stringContaining('no wide of swept')]);
  for (const shot of shots) expect(shot.pictures.some((p) => p.frame === 'wide')).toBe(shot.name !== 'swept');
  for (const { pictures } of shots) {
    for (const p of pictures.filter((q) => q.name === 'feed')) {
      expect(p.width).toBe(p.height);
      expect(p.fill).toBeGreaterThanOrEqual(0.75);
      expect(p.fill).toBeLessThanOrEqual(0.9);
    }
    for (const p of pictures.filter((q) => q.frame === 'wide'))
      expect(Math.abs(p.height - (p.width * 9) / 16)).toBeLessThanOrEqual(1);
  }

  const swatches = new Map((catalogue.swatches ?? []).map((s) => [s.shot, s]));
  const transparent = await sharp(join(root, swatches.get('cut-out')!.singles[0].file)).metadata();
  expect([transparent.channels, transparent.hasAlpha]).toEqual([4, true]);
  const metals = [...swatches.values()].filter((s) => s.shot.startsWith('metals-'));
  const worn = new Set(
    plan.variants.flatMap(({ dress }) => dress.alloys.map((a, i) => `${a} ${dress.finishes[i]}`)),
  );
  expect(metals.flatMap((s) => s.singles)).toHaveLength(worn.size);

  const { wrong, models, pictures } = await catalogueFaults(folder);
  expect(wrong).toEqual([]);
  expect(models).toBeGreaterThan(0);
  expect(pictures).toBeGreaterThan(0);
  expect((await run()).upToDate).toBe(true);
});
