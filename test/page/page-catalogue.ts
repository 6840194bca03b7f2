/**
 * Catalogues for tests of the page, made by the real writer: three alloys in two sizes with stones and without, a pair,
 * a turntable, documents, cast parts and swatches. Pictures are plain discs; models are real GLBs of torus bands.
 */
import { createHash } from 'node:crypto';
import sharp from 'sharp';
import type { BandFacts } from '../../pipeline/facts/catalogue-schema.ts';
import { buildGlb } from '../../pipeline/model/glb.ts';
import {
  type CatalogueItem,
  type CatalogueMeta,
  publishCatalogue,
} from '../../pipeline/publish/catalogue.ts';
import type { CataloguePicture } from '../../pipeline/publish/catalogue-item.ts';
import { ALLOYS } from '../../pipeline/trade/alloys.ts';
import type { Language } from '../../pipeline/trade/words.ts';
import { syntheticShape } from '../model/synthetic-shape.ts';
import { sampleBand } from '../publish/sample-items.ts';

export const METALS = ['yellow-18', 'rose-18', 'platinum-950'] as const;
export const SIZES = [50, 60] as const;
export const FRAMES = 8;
/** frame widths of the three-quarter pictures by size, mm */
export const FRAME_MM = { 50: 24, 60: 30 };
/** What a config may hold; it must appear as it is. */
export const MARKUP = '<img src=x onerror="document.title=1"><b>Bold</b> & "quoted"';

const sha = (data: Uint8Array) => createHash('sha256').update(data).digest('hex');

const drawn = new Map<string, Promise<Buffer>>();

/** A disc of a colour on white, its size a share of the frame. */
function disc(side: number, colour: string, share: number): Promise<Buffer> {
  const key = `${side} ${colour} ${share}`;
  if (!drawn.has(key)) {
    const r = (share * side) / 2;
    const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${side}" height="${side}"><rect width="100%" height="100%" fill="#fff"/><circle cx="50%" cy="50%" r="${r}" fill="${colour}"/></svg>`;
    drawn.set(key, sharp(Buffer.from(svg)).webp().toBuffer());
  }
  return drawn.get(key)!;
}

export async function discPicture(
  side: number,
  colour: string,
  role: CataloguePicture['role'] = 'picture',
  share = 0.7,
): Promise<CataloguePicture> {
  const data = await disc(side, colour, share);
  return {
    role,
    format: 'webp',
    extension: 'webp',
    width: side,
    height: side,
    bytes: data.length,
    sha256: sha(data),
    data,
  };
}

const COLOURS: Record<string, string> = {
  'yellow-18': '#d9b86a',
  'rose-18': '#d79c80',
  'platinum-950': '#b9b6b0',
};
const CHECK = {
  rule: 'girdle-gap',
  severity: 'error' as const,
  limit: '≥ 0.10 mm',
  place: 'row centre',
  source: 'common practice',
};

function bandOf(size: number, metal: string): BandFacts {
  const sku = `T-${size}-${metal}`;
  const file = Buffer.from(`solid ${sku}`);
  return sampleBand(sku, {
    axes: { size: `ISO ${size}`, metal },
    innerDiameterMm: size / Math.PI,
    circumferenceMm: size,
    sizes: [{ system: 'iso', label: 'ISO 8653', text: `ISO ${size}` }],
    metals: [
      { alloy: metal, name: `alloy ${metal}`, lanes: ['left', 'right'], volumeMm3: 200, massG: size / 20 },
    ],
    metalMassG: size / 20,
    checks: [
      { ...CHECK, passed: true, measured: '0.14 mm' },
      { ...CHECK, rule: 'edge-softening', severity: 'warning', passed: false, measured: '0.10 mm' },
      { ...CHECK, rule: 'hallmark-mass', severity: 'info', passed: false, measured: '3.00 g' },
    ],
    caster: {
      shrinkage: 0.015,
      polishMm: 0.05,
      sprue: 0.2,
      parts: [
        {
          alloy: metal,
          lanes: ['left', 'right'],
          pieces: 1,
          finishedMassG: 3,
          castVolumeMm3: 210,
          castMassG: 3.9,
          files: [{ format: 'stl', file: `models/bench/${sku}.stl`, bytes: file.length, sha256: sha(file) }],
        },
      ],
    },
    model: { file: `models/torus-${size}.glb`, variant: metal },
    ownModels: [{ format: 'usdz', file: `models/each/${sku}.usdz`, bytes: file.length, sha256: sha(file) }],
  });
}

async function itemOf(size: 50 | 60, metal: string): Promise<CatalogueItem> {
  const band = bandOf(size, metal);
  const noise = { target: 0.02, reached: 0.018, passes: 90 };
  const colour = COLOURS[metal];
  const shots: CatalogueItem['shots'] = [
    {
      name: 'three-quarter',
      label: 'Three-quarter view',
      alt: `A band of ${metal}, three-quarter view`,
      frameMm: FRAME_MM[size],
      noise,
      pictures: [
        await discPicture(240, colour),
        await discPicture(120, colour),
        await discPicture(100, colour, 'thumbnail'),
        { ...(await discPicture(160, colour, 'extra', 0.9)), frame: 'detail' },
        { ...(await discPicture(80, colour, 'extra', 0.9)), frame: 'detail' },
        { ...(await discPicture(160, colour, 'extra', 0.2)), frame: 'detail', name: 'press' },
      ],
    },
  ];
  for (let frame = 1; frame <= FRAMES; frame++)
    shots.push({
      name: `spin-0${frame}`,
      label: `Turntable, frame ${frame} of ${FRAMES}`,
      turn: { frame, of: FRAMES },
      noise,
      pictures: [await discPicture(120, colour, 'picture', 0.3 + 0.05 * frame)],
    });
  return {
    sku: band.sku,
    kind: 'variant',
    title: metal === 'rose-18' ? MARKUP : `Band of ${metal}`,
    bands: [band],
    shots,
    documents: [
      { kind: 'stone-list', name: `${band.sku}-stones.csv`, data: Buffer.from('stones') },
      { kind: 'bench-sheet', name: `${band.sku}-bench.html`, data: Buffer.from('<!doctype html>') },
      { kind: 'bench-sheet', name: `${band.sku}-bench.pdf`, data: Buffer.from('%PDF') },
    ],
    cautions: ['Have it checked.'],
    keys: { [`solid ${band.sku}`]: `shape ${size}` },
    versions: {},
  };
}

/** Seven items: six bands and a pair. Model of size 50 without stones, of size 60 with. */
export async function publishSmall(
  out: string,
  language: Language = 'en',
  over: Partial<CatalogueMeta> = {},
): Promise<void> {
  const items: CatalogueItem[] = [];
  for (const size of SIZES) for (const metal of METALS) items.push(await itemOf(size, metal));
  const pair: CatalogueItem = {
    ...items[0],
    sku: 'T-pair',
    kind: 'pair',
    title: 'A pair',
    bands: [items[0].bands[0], items[5].bands[0]],
    shots: items[0].shots.slice(0, 1),
    documents: [],
    keys: { ...items[0].keys, ...items[5].keys },
  };
  items.push(pair);
  const looks = (stones: boolean) =>
    METALS.map((id) => {
      const { f0 } = ALLOYS.get(id)!;
      const finish = { name: 'polished', roughness: 0.2 };
      const diamond = { name: 'diamond', ior: 2.417, abbe: 55, absorption: [0, 0, 0] as const };
      return {
        name: id,
        alloys: [
          { name: id, f0 },
          { name: id, f0 },
        ],
        finishes: [finish, finish],
        bore: finish,
        stones: stones ? [diamond] : [],
      };
    });
  const shape = (stones: number) => syntheticShape({ around: 96, across: 12, stones });
  const models: CatalogueMeta['models'] = [
    {
      file: 'models/torus-50.glb',
      shape: '50',
      variants: [...METALS],
      data: await buildGlb(shape(0), looks(false)),
    },
    {
      file: 'models/torus-60.glb',
      shape: '60',
      variants: [...METALS],
      data: await buildGlb(shape(12), looks(true)),
    },
  ];
  const sheet = await disc(64, '#888888', 0.5);
  await publishCatalogue(out, items, {
    catalogue: 'small',
    language,
    title: `Bands ${MARKUP}`,
    workshop: 'Sample workshop',
    axes: [
      { name: 'size', values: SIZES.map((s) => ({ label: `ISO ${s}`, slug: String(s) })) },
      { name: 'metal', values: METALS.map((m) => ({ label: m, slug: m })) },
    ],
    planned: items.map((i) => i.sku),
    models,
    keyed: items.slice(0, 6).flatMap(({ bands: [{ sku, caster, ownModels }] }) =>
      [...caster!.parts[0].files, ...ownModels!].map(({ file, bytes, sha256 }) => ({
        file,
        bytes,
        sha256,
        data: async () => Buffer.from(`solid ${sku}`),
      })),
    ),
    pageChecks: true,
    swatches: [
      {
        shot: 'three-quarter',
        card: { file: 'swatches/sheet.png', width: 64, height: 64, data: sheet },
        singles: items.slice(0, 3).map((i) => ({
          sku: i.sku,
          caption: i.title,
          file: `swatches/${i.sku}.png`,
          width: 64,
          height: 64,
          data: sheet,
        })),
      },
    ],
    ...over,
  });
}
