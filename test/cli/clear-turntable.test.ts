import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { main } from '../../pipeline/cli/main.ts';
import { catalogueSchema } from '../../pipeline/facts/catalogue-schema.ts';

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
outputs: { images: [{ format: png, widths: [40] }, { format: jpeg, widths: [40] }], glb: false }
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
  expect(await make()).toContain('up to date');
}, 240_000);
