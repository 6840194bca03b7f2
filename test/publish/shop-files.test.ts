import { existsSync } from 'node:fs';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { FILM } from '../../pipeline/artefacts/film.ts';
import { PICTURE } from '../../pipeline/artefacts/picture.ts';
import { SWATCH } from '../../pipeline/artefacts/swatch.ts';
import { type CatalogueMeta, publishCatalogue, readCatalogue } from '../../pipeline/publish/catalogue.ts';
import { planWork } from '../../pipeline/run/work.ts';
import { config, planOf } from '../plan/workspace.ts';
import { SAMPLE_SHOP, sampleItem, sampleMeta } from './sample-items.ts';

let out: string;
beforeEach(async () => {
  out = await mkdtemp(join(tmpdir(), 'bandwright-shop-'));
});
afterEach(() => rm(out, { recursive: true, force: true }));

const publish = (over: Partial<CatalogueMeta> = {}) =>
  publishCatalogue(out, [sampleItem('A-1')], sampleMeta(['A-1'], over));
const swatch = (name: string) => ({
  file: `swatches/${name}.png`,
  width: 9,
  height: 9,
  data: Buffer.from(name),
});
const SWATCHES: CatalogueMeta['swatches'] = [
  { shot: 'front', card: swatch('sheet'), singles: [{ ...swatch('one'), sku: 'A-1', caption: 'One' }] },
];

describe('files for shop and marketing', () => {
  it('come with their part of the config and go with it; a second run writes nothing', async () => {
    const shop = SAMPLE_SHOP;
    const all = { shop, swatches: SWATCHES, colours: ['yellow-18'] };
    await publish(all);
    expect((await readCatalogue(out))?.swatches?.[0].singles[0].caption).toBe('One');
    for (const file of ['feed.csv', 'catalogue.jsonld', 'swatches/sheet.png', 'swatches/one.png'])
      expect(existsSync(join(out, file)), file).toBe(true);
    expect(await readFile(join(out, 'swatches/colours.csv'), 'utf8')).toContain('yellow-18');
    expect((await publish(all)).files).toEqual([]);
    await publish({ shop: { ...shop, baseUrl: undefined } });
    for (const file of ['feed.csv', 'swatches/sheet.png', 'swatches/one.png', 'swatches/colours.csv'])
      expect(existsSync(join(out, file)), file).toBe(false);
    expect(existsSync(join(out, 'catalogue.jsonld'))).toBe(true);
  });
});

describe('content keys of pictures', () => {
  const work = async (lines: Record<string, string> = {}) => {
    const { plan } = await planOf(config(lines));
    const { pieces } = planWork(plan, { versions: {}, logos: new Map() });
    return { takes: pieces(FILM), pictures: pieces(PICTURE), swatches: pieces(SWATCH) };
  };

  it('follow the words and the credit in the files; films do not', async () => {
    const [before, after] = [await work(), await work({ credit: 'credit: { creator: Someone }' })];
    expect(after.takes.map((t) => t.films)).toEqual(before.takes.map((t) => t.films));
    expect(after.pictures).toHaveLength(before.pictures.length);
    for (const [i, picture] of after.pictures.entries()) expect(picture.key).not.toBe(before.pictures[i].key);
    const skus = before.pictures.filter((p) => p.take === before.takes[0]).flatMap((p) => p.skus);
    expect(new Set(skus).size).toBe(skus.length);
    expect(before.pictures.every((p) => p.alt.length <= 250)).toBe(true);
  });

  it('share a film but not a file where looks agree and declared origins differ', async () => {
    const { takes, pictures } = await work({
      grid: `grid:
  size: [ISO 53]
  stone:
    - { label: Mined, slug: N, value: diamond, origin: natural }
    - { label: Grown, slug: L, value: diamond, origin: laboratory-grown }`,
    });
    expect(takes[0].films).toHaveLength(1);
    const first = pictures.filter((p) => p.take === takes[0]);
    expect(first).toHaveLength(2);
    expect(first.map((p) => /natural|laboratory-grown/.exec(p.alt)?.[0])).toEqual([
      'natural',
      'laboratory-grown',
    ]);
  });

  it('plan a sheet for every take with two colourways or more, if sheets are wanted', async () => {
    expect((await work()).swatches).toEqual([]);
    const { swatches: sheets, takes } = await work({ outputs: 'outputs: { swatches: true }' });
    expect(sheets.map((s) => s.captions.length)).toEqual(takes.map((t) => t.films.length));
    expect(sheets[0].captions[0]).toBe('Yellow gold 18 ct · Diamond');
  });
});
