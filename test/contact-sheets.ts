/**
 * `npm run contact-sheets`: makes the small catalogues of configs/contact/ (every metal in every finish, other matter for
 * lanes, every stone, every cut, every studio) and lays each out as one picture in configs/contact/pictures/, to be looked
 * at and committed.
 * Then the pictures of the README from the demo's catalogue, in configs/demo/pictures/. `--only metals` makes one of the
 * sheets, `--only demo` the demo's pictures. The page's picture (page.webp) is a screenshot and is taken by hand.
 */
import { spawnSync } from 'node:child_process';
import { copyFileSync, mkdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import sharp, { type OverlayOptions } from 'sharp';
import type { Catalogue } from '../pipeline/facts/catalogue-schema.ts';
import { letteringSvg } from '../pipeline/picture/lettering.ts';

const OUT = 'output/contact';
const PICTURES = 'configs/contact/pictures';
const GAP = 6;
const LINE = 22;
const CAPITALS = 12;

interface Tile {
  file: string;
  row: string;
  column: string;
  caption: string;
}

interface Sheet {
  name: string;
  /** size of a tile on the sheet, px */
  width: number;
  height: number;
  /** tiles side by side; rows of named ones keep together */
  columns: number;
  caption(tile: { axes: Record<string, string>; shot: string; stones: string[] }): string;
}

const SHEETS: Sheet[] = [
  {
    name: 'metals',
    width: 116,
    height: 73,
    columns: 9,
    caption: ({ axes }) => `${axes.metal}, ${axes.finish.toLowerCase()}`,
  },
  { name: 'stones', width: 300, height: 225, columns: 4, caption: ({ stones }) => stones.join(', ') },
  { name: 'matter', width: 178, height: 111, columns: 6, caption: ({ axes }) => axes.matter },
  { name: 'cuts', width: 216, height: 162, columns: 5, caption: ({ axes }) => axes.cut },
  {
    name: 'lights',
    width: 260,
    height: 238,
    columns: 5,
    caption: ({ shot }) => shot.replace(/-(white|gloss)$/, ', $1'),
  },
];

const { only } = parseArgs({ options: { only: { type: 'string' } } }).values;
for (const sheet of SHEETS.filter((s) => !only || s.name === only)) {
  make(`configs/contact/${sheet.name}.yaml`);
  const file = await layOut(sheet);
  console.log(`${file}, ${Math.round(statSync(file).size / 1000)} kB`);
}

/** Pictures of the README: which shot of which item of the demo, each of at most 300 kB. */
const README_PICTURES = [
  { name: 'three-quarter', sku: 'SC-ISO53-YW-LGD', shot: 'three-quarter' },
  { name: 'rose', sku: 'SC-ISO53-RW-SAPBL', shot: 'three-quarter' },
  { name: 'flat-lay', sku: 'SC-ISO53-PT-LGD', shot: 'flat-lay' },
  { name: 'pair', sku: 'SC-ISO53-WY-LGD-duo', shot: 'pair' },
];

if (!only || only === 'demo') {
  make('configs/demo.yaml');
  const root = join(OUT, 'slow-crossing');
  const { items } = JSON.parse(readFileSync(join(root, 'catalogue.json'), 'utf8')) as Catalogue;
  for (const { name, sku, shot } of README_PICTURES) {
    const pictures = items.find((i) => i.sku === sku)?.shots.find((s) => s.name === shot)?.pictures ?? [];
    const widest = pictures.filter((p) => p.format === 'webp').sort((a, b) => b.width - a.width)[0];
    if (!widest) throw new Error(`the demo has no WebP of ${shot} of ${sku}`);
    const file = join('configs/demo/pictures', `${name}.webp`);
    copyFileSync(join(root, widest.file), file);
    const kilobytes = Math.round(statSync(file).size / 1000);
    if (kilobytes > 300) throw new Error(`${file} has ${kilobytes} kB; at most 300 are wanted`);
    console.log(`${file}, ${kilobytes} kB`);
  }
}

/** Makes a catalogue, or ends with its exit code. */
function make(config: string): void {
  const made = spawnSync(process.execPath, ['pipeline/cli/bandwright.mjs', 'make', config, '--out', OUT], {
    stdio: 'inherit',
  });
  if (made.status !== 0) process.exit(made.status ?? 1);
}

async function layOut(sheet: Sheet): Promise<string> {
  const tiles = tilesOf(sheet);
  const cell = sheet.height + LINE;
  const size = {
    width: GAP + sheet.columns * (sheet.width + GAP),
    height: GAP + Math.ceil(tiles.length / sheet.columns) * (cell + GAP),
  };
  const layers: OverlayOptions[] = [];
  for (const [i, tile] of tiles.entries()) {
    const left = GAP + (i % sheet.columns) * (sheet.width + GAP);
    const top = GAP + Math.floor(i / sheet.columns) * (cell + GAP);
    const input = await sharp(tile.file).resize(sheet.width, sheet.height).toBuffer();
    layers.push({ input, left, top });
    const svg = Buffer.from(letteringSvg(tile.caption, '#3a3a3a'));
    const natural = await sharp(svg).metadata();
    const scale = Math.min(CAPITALS / natural.height, (sheet.width - 4) / natural.width);
    const { data, info } = await sharp(svg, { density: Math.max(1, 72 * scale) })
      .resize(Math.max(1, Math.round(natural.width * scale)))
      .png()
      .toBuffer({ resolveWithObject: true });
    const across = left + Math.round((sheet.width - info.width) / 2);
    layers.push({
      input: data,
      left: across,
      top: top + sheet.height + Math.round((LINE - info.height) / 2),
    });
  }
  mkdirSync(PICTURES, { recursive: true });
  const file = join(PICTURES, `${sheet.name}.webp`);
  await sharp({ create: { ...size, channels: 3, background: '#ffffff' } })
    .composite(layers)
    .webp({ quality: 74 })
    .toFile(file);
  return file;
}

/** Pictures of the catalogue in its order, or row by row where the grid's axes give rows. */
function tilesOf(sheet: Sheet): Tile[] {
  const root = join(OUT, sheet.name);
  const { items } = JSON.parse(readFileSync(join(root, 'catalogue.json'), 'utf8')) as Catalogue;
  const tiles = items.flatMap(({ shots, bands: [band] }) =>
    shots.map((shot): Tile => {
      const picture = shot.pictures.find((f) => f.format === 'png');
      if (!picture) throw new Error(`${sheet.name}: no PNG of ${shot.name}`);
      const stones = band.rows.map((r) => r.label);
      return {
        file: join(root, picture.file),
        row: band.axes.metal,
        column: band.axes.finish ?? '',
        caption: sheet.caption({ axes: band.axes, shot: shot.name, stones }),
      };
    }),
  );
  if (sheet.name !== 'metals') return tiles;
  const rows = [...new Set(tiles.map((t) => t.row))];
  const columns = [...new Set(tiles.map((t) => t.column))];
  return rows.flatMap((row) =>
    columns.flatMap((column) => tiles.filter((t) => t.row === row && t.column === column)),
  );
}
