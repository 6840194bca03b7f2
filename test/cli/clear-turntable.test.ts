import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { ALL_FORMATS, BufferSource, Input } from 'mediabunny';
import sharp from 'sharp';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { main } from '../../pipeline/cli/main.ts';
import { type Catalogue, catalogueSchema } from '../../pipeline/facts/catalogue-schema.ts';

const ROOT = resolve(import.meta.dirname, '../..');

const CONFIG = `
catalogue: turn
title: Turn
workshop: Test bench
template: plain-court
grid: { size: [ISO 52, ISO 58], metal: [yellow-18] }
shots:
  - { view: front, ground: clear }
  - { name: spin, view: turntable, frames: 24, ground: gloss, when: { size: ISO 52 } }
frame: 40 px
quality: { noise: 50 %, passes: 4 }
shop: { base-url: https://shop.example/ }
outputs:
  images: [{ format: png, widths: [40] }, { format: jpeg, widths: [40] }, { format: webp, widths: [20], frames: [tall] }]
  frames: { tall: 4:5 }
  swatches: true
  glb: false
  movies: [{ format: webp, width: 40, seconds: 5 }, { format: webm, width: 40, seconds: 5 }]
sku: T-{size}
`;

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'bandwright-turn-'));
  mkdirSync(join(folder, 'configs'));
  cpSync(join(ROOT, 'templates'), join(folder, 'templates'), { recursive: true });
  writeFileSync(join(folder, 'configs/turn.yaml'), CONFIG);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

async function make(): Promise<string> {
  let text = '';
  const out = { write: (t: string) => (text += t), terminal: false, columns: 100 };
  const code = await main(['make', join(folder, 'configs/turn.yaml'), '--out', join(folder, 'output')], {
    out,
    err: out,
  });
  expect(code, text).toBe(0);
  return text;
}

/** Both films hold all 24 frames and last 5 s: as sharp and another library's demuxer read them. */
async function expectFilms(root: string, movies: NonNullable<Catalogue['movies']>): Promise<void> {
  expect(movies.map((m) => m.file)).toEqual(['movies/T-ISO52-spin-40.webp', 'movies/T-ISO52-spin-40.webm']);
  const [picture, film] = movies;
  const { pages, delay = [], loop, hasProfile } = await sharp(join(root, picture.file)).metadata();
  expect({ pages, loop, hasProfile }).toEqual({ pages: 24, loop: 0, hasProfile: true });
  expect(delay.reduce((sum, ms) => sum + ms, 0)).toBe(5000);
  const input = new Input({
    formats: ALL_FORMATS,
    source: new BufferSource(readFileSync(join(root, film.file))),
  });
  const track = await input.getPrimaryVideoTrack();
  expect(await track?.computePacketStats()).toMatchObject({ packetCount: 24 });
  expect([track?.codec, track?.displayWidth]).toEqual(['vp9', 40]);
  expect(await input.computeDuration()).toBeCloseTo(5, 1);
}

it('makes cut-outs and turntables of the SKUs asked for, and nothing the second time', async () => {
  await make();
  const root = join(folder, 'output/turn');
  const catalogue = catalogueSchema.parse(JSON.parse(readFileSync(join(root, 'catalogue.json'), 'utf8')));
  const [small, large] = catalogue.items;
  expect([small.shots.length, large.shots.length]).toEqual([25, 1]);
  expect(small.shots[3].turn).toEqual({ frame: 3, of: 24 });
  expect(small.shots[3].name).toBe('spin-03');
  // one thumbnail for the still, one for the turntable
  expect(small.shots.flatMap((s) => s.pictures).filter((p) => p.role === 'thumbnail')).toHaveLength(2);
  const [png, jpeg] = large.shots[0].pictures;
  const { data, info } = await sharp(join(root, png.file)).raw().toBuffer({ resolveWithObject: true });
  expect(info.channels).toBe(4);
  expect(data[3]).toBe(0);
  expect(data[4 * (20 * 40 + 5) + 3]).toBe(255);
  expect((await sharp(join(root, jpeg.file)).metadata()).hasAlpha).toBe(false);
  // a frame of a turntable is what was asked for as it was traced: no crops, no feed pictures, no sheets of colourways
  expect(small.shots[3].pictures.map((p) => `${p.role} ${p.format}`)).toEqual([
    'picture png',
    'picture jpeg',
  ]);
  expect(large.shots[0].pictures.some((p) => p.name === 'feed')).toBe(true);
  expect(catalogue.swatches?.some(({ shot }) => shot.startsWith('spin')) ?? false).toBe(false);
  await expectFilms(root, catalogue.movies ?? []);
  expect(await make()).toContain('up to date');
}, 240_000);
