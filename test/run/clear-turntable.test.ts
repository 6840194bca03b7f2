/** Cut-outs and films of a turning band. Its takes are traced in this process: a page for each of 26 shows nothing more. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { ALL_FORMATS, BufferSource, Input } from 'mediabunny';
import sharp from 'sharp';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { type Catalogue, catalogueSchema } from '../../pipeline/facts/catalogue-schema.ts';
import { makeCatalogue } from '../../pipeline/run/make.ts';
import { createNodeTracer } from '../../pipeline/tracer/node-tracer.ts';
import { createTracerSession, type TracerSession } from '../../pipeline/tracer/session.ts';
import { planOf } from '../plan/workspace.ts';
import { kernel } from '../tracer/kernel-fixture.ts';

type Movies = NonNullable<Catalogue['movies']>;

const CONFIG = `
catalogue: turn
title: Turn
workshop: Test bench
template: plain-court
overrides: { chord-tolerance: 0.1 mm }
grid: { size: [ISO 52, ISO 58], metal: [yellow-18, platinum-950] }
shots:
  - { view: front, ground: clear }
  - { name: spin, view: turntable, frames: 24, ground: gloss, when: { size: ISO 52, metal: yellow-18 } }
frame: 40 px
quality: { noise: 50 %, passes: 4 }
shop: { base-url: https://shop.example/ }
outputs:
  images: [{ format: png, widths: [40] }, { format: jpeg, widths: [40] }, { format: webp, widths: [20], frames: [tall] }]
  frames: { tall: 4:5 }
  swatches: true
  glb: false
  movies:
    - { format: webp, width: 40, seconds: 5 }
    - { format: webm, width: 40, seconds: 5 }
    - { of: colourways, format: webp, width: 90, seconds: 3, frame: banner }
    - { of: colourways, format: webm, width: 40, seconds: 3 }
sku: T-{size}-{metal}
`;

let folder: string;
/** its browser makes films out of pictures */
let browser: TracerSession;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'bandwright-turn-'));
  browser = await createTracerSession({ workers: 1 });
});
afterAll(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true, force: true });
});

async function make() {
  const { plan } = await planOf(CONFIG);
  const { trace } = createNodeTracer([await kernel()]);
  const { failed, upToDate } = await makeCatalogue(plan, {
    out: join(folder, 'output'),
    openTracer: async () => ({
      trace,
      film: browser.film?.bind(browser),
      close: async () => {},
    }),
    report: () => {},
    signal: new AbortController().signal,
  });
  expect([...failed]).toEqual([]);
  return upToDate;
}

/** Turntables hold all 24 frames and last 5 s: as sharp and another library's demuxer read them. */
async function expectTurntables(root: string, [picture, film]: Movies): Promise<void> {
  expect([picture.file, film.file]).toEqual([
    'movies/T-ISO52-Y18-spin-40.webp',
    'movies/T-ISO52-Y18-spin-40.webm',
  ]);
  const { pages, delay = [], loop, hasProfile } = await sharp(join(root, picture.file)).metadata();
  expect({ pages, loop, hasProfile }).toEqual({ pages: 24, loop: 0, hasProfile: true });
  expect(delay.reduce((sum, ms) => sum + ms, 0)).toBe(5000);
  const { track, seconds } = await filmOf(join(root, film.file));
  expect(await track?.computePacketStats()).toMatchObject({ packetCount: 24 });
  expect([track?.codec, track?.displayWidth]).toEqual(['vp9', 40]);
  expect(seconds).toBeCloseTo(5, 1);
}

/** Colourways follow one another for 1.5 s each, in the frame asked for, with a still and captions that say which. */
async function expectColourways(root: string, [picture, film]: Movies): Promise<void> {
  expect(picture).toMatchObject({ of: 'colourways', frame: 'banner', width: 90, height: 30, frames: 2 });
  expect(picture.skus).toEqual(['T-ISO52-Y18', 'T-ISO52-P950']);
  const { delay = [], width, height } = await sharp(join(root, picture.file)).metadata();
  expect([width, height]).toEqual([90, 30]);
  expect(delay.reduce((sum, ms) => sum + ms, 0)).toBe(3000);
  // the banner leaves its left half to text
  const still = await sharp(join(root, picture.still.file)).greyscale().raw().toBuffer();
  const dark = Array.from(still, (v, i) => ({ v, x: i % 90 })).filter(({ v }) => v < 200);
  expect(dark.length).toBeGreaterThan(50);
  expect(Math.min(...dark.map(({ x }) => x))).toBeGreaterThan(45);
  expect(readFileSync(join(root, picture.captions.file), 'utf8')).toBe(
    'WEBVTT\n\n00:00.000 --> 00:01.500\nYellow gold 18 ct\n\n00:01.500 --> 00:03.000\nPlatinum 950\n',
  );
  expect((await filmOf(join(root, film.file))).seconds).toBeCloseTo(3, 1);
}

async function filmOf(file: string) {
  const input = new Input({ formats: ALL_FORMATS, source: new BufferSource(readFileSync(file)) });
  return { track: await input.getPrimaryVideoTrack(), seconds: await input.computeDuration() };
}

it('makes cut-outs and turntables of the SKUs asked for, and nothing the second time', async () => {
  expect(await make()).toBe(false);
  const root = join(folder, 'output/turn');
  const catalogue = catalogueSchema.parse(JSON.parse(readFileSync(join(root, 'catalogue.json'), 'utf8')));
  const [small, large] = catalogue.items.filter(({ sku }) => sku.endsWith('Y18'));
  expect([small.shots.length, large.shots.length]).toEqual([25, 1]);
  expect(small.shots[3].turn).toEqual({ frame: 3, of: 24 });
  expect(small.shots[3].name).toBe('spin-03');
  // one thumbnail for the still, one for the turntable
  expect(small.shots.flatMap((s) => s.pictures).filter((p) => p.role === 'thumbnail')).toHaveLength(2);
  const [png, jpeg] = large.shots[0].pictures;
  const { data, info } = await sharp(join(root, png.file)).raw().toBuffer({ resolveWithObject: true });
  expect(info.channels).toBe(4);
  expect(data[3]).toBe(0);
  const across = Array.from({ length: 40 }, (_, x) => data[4 * (20 * 40 + x) + 3]);
  // at 40 px a band's wall is hardly wider than what a pixel gathers
  expect(Math.max(...across)).toBeGreaterThan(240);
  expect((await sharp(join(root, jpeg.file)).metadata()).hasAlpha).toBe(false);
  // a frame of a turntable is what was asked for as it was traced: no crops, no feed pictures, no sheets of colourways
  expect(small.shots[3].pictures.map((p) => `${p.role} ${p.format}`)).toEqual([
    'picture png',
    'picture jpeg',
  ]);
  expect(large.shots[0].pictures.some((p) => p.name === 'feed')).toBe(true);
  expect(catalogue.swatches?.some(({ shot }) => shot.startsWith('spin')) ?? false).toBe(false);
  const movies = catalogue.movies ?? [];
  await expectTurntables(root, movies);
  await expectColourways(
    root,
    movies.slice(2).filter(({ skus }) => skus[0].includes('ISO52')),
  );
  expect(await make()).toBe(true);
});
