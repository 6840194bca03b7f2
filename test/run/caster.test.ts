import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { casterNote } from '../../pipeline/artefacts/caster-note.ts';
import type { RunEvent } from '../../pipeline/artefacts/events.ts';
import { partFile, partPlace } from '../../pipeline/artefacts/part.ts';
import { catalogueSchema } from '../../pipeline/facts/catalogue-schema.ts';
import { stlVolume } from '../../pipeline/model/stl.ts';
import { clearStore } from '../../pipeline/run/clearing.ts';
import { makeCatalogue } from '../../pipeline/run/make.ts';
import { verifyCatalogue } from '../../pipeline/run/verifying.ts';
import { artefactKey } from '../../pipeline/store/content-key.ts';
import type { Tracer } from '../../pipeline/tracer/tracer.ts';
import { planOf } from '../plan/workspace.ts';
import { greyTake } from './grey-take.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-caster-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Grey films at once: what is tested here is everything but the light. */
const GREY: Tracer = {
  trace: greyTake,
  print: async (html) => Buffer.from(`%PDF of ${html.length}`),
  close: async () => {},
};

const CONFIG = `
catalogue: cast
title: Cast
workshop: Test bench
template: tideline
overrides: { chord-tolerance: 0.1 mm, rows: { crest: { coverage: 60 deg } } }
origins: { diamond: laboratory-grown, ruby: natural }
treatments: { ruby: heated }
grid:
  size: [ISO 54]
  metal:
    - { label: Two, slug: T, value: { near-shore: white-18, tide: yellow-18, far-shore: white-18 } }
    - yellow-18
  stone: [diamond, ruby]
shots: [front]
frame: 16 px
outputs:
  images: [{ format: png, widths: [16] }]
  glb: false
  sheets: SHEETS
  caster: CASTER
sku: C-{metal}-{stone}
`;

async function make(caster: string, sheets = 'true', only?: (sku: string) => boolean) {
  const { plan } = await planOf(CONFIG.replace('CASTER', caster).replace('SHEETS', sheets));
  const events: RunEvent[] = [];
  const result = await makeCatalogue(plan, {
    out: folder,
    openTracer: async () => GREY,
    report: (event) => events.push(event),
    signal: new AbortController().signal,
    ...(only ? { only } : {}),
  });
  expect([...result.failed.values()]).toEqual([]);
  const file = join(folder, 'cast/catalogue.json');
  return { result, events, catalogue: catalogueSchema.parse(JSON.parse(readFileSync(file, 'utf8'))) };
}

it('tells a caster which metals are not for them, in file names and READ-ME, in both languages', async () => {
  const { plan } = await planOf(CONFIG.replace('CASTER', '{ polish: 0.05 mm }').replace('SHEETS', 'false'));
  const of = { shape: plan.variants[0].shape, lanes: [0], skus: [] };
  const alloys = ['titanium', 'yellow-18', 'tantalum', 'zirconium-black'];
  const made = alloys.map((alloy) => ({ ...of, alloy, key: artefactKey(alloy) }));
  const names = made.map((part) => partFile(part, '3mf', plan.caster!));
  const told = (publish?: true) =>
    partPlace(made[1], {
      plan: { ...plan, caster: { ...plan.caster!, publish } },
      catalogueFolder: '/out/cast',
    });
  expect(told()).toMatch(/^cast-private\/caster\/[^/]+\.stl$/);
  expect(told(true)).toMatch(/^models\/bench\/[^/]+\.stl$/);
  expect(names.map((n) => n.includes('-not-for-ordinary-casting_'))).toEqual([true, false, true, true]);
  const say = (language: 'en' | 'de') => casterNote({ plan: { ...plan, language }, parts: made });
  expect(say('en')).toContain('NOT FOR AN ORDINARY CASTER: titanium, tantalum, zirconium-black.');
  expect(say('en')).toContain('SHRINKAGE IS NOT IN THE FILES');
  expect(say('en')).toContain('METAL FOR POLISHING IS ALREADY IN THE FILES: 0.05 mm');
  expect(say('de')).toContain('NICHT FÜR EINE GEWÖHNLICHE GIESSEREI: titanium, tantalum, zirconium-black.');
  expect(say('de')).toContain('POLIERZUGABE IST IN DEN DATEIEN SCHON ENTHALTEN: 0,05 mm');
  // what the header says in full, the note says before anything else but how to read lengths
  expect(say('en').indexOf('READ THIS BEFORE')).toBe(0);
});

const PRIVATE = join(folder, 'cast-private');
const parts = (place: string) => readdirSync(join(folder, place)).filter((n) => /\.(stl|3mf)$/.test(n));
/** All of a folder's files, by path. */
const all = (place: string) =>
  readdirSync(join(folder, place), { recursive: true, encoding: 'utf8' }).map((n) => n.replaceAll('\\', '/'));

it('keeps what a band can be cast from out of the folder that is uploaded', async () => {
  const { catalogue } = await make('{ shrinkage: 1.5 %, polish: 0.03 mm }');
  expect(
    all('cast').filter((n) => /bench|stones\.csv|\.stl|\.3mf|READ-ME/.test(n.replace(/^models\/bench$/, ''))),
  ).toEqual([]);
  for (const name of all('cast').filter((n) => /\.(json|html|js|csv|jsonld)$/.test(n)))
    expect(readFileSync(join(folder, 'cast', name), 'utf8')).not.toMatch(
      /\.stl|\.3mf|-bench\.|-stones\.csv|castMassG/,
    );
  for (const { bands, documents } of catalogue.items) {
    expect(bands[0].caster).toBeUndefined();
    expect(documents).toBeUndefined();
  }
  // white shores and yellow tide of the two-tone band, the whole band in yellow; stones do not matter
  expect(parts('cast-private/caster')).toHaveLength(2 * 3);
  expect(
    parts('cast-private/caster').every((n) => n.startsWith('incl-1.5pct-shrinkage-0.03mm-polish_')),
  ).toBe(true);
  const skus = catalogue.items.map((i) => i.sku);
  for (const sku of skus) {
    expect(existsSync(join(PRIVATE, `caster/${sku}-stones.csv`))).toBe(true);
    expect(existsSync(join(PRIVATE, `sheets/${sku}-bench.html`))).toBe(true);
    expect(existsSync(join(PRIVATE, `sheets/${sku}-bench.pdf`))).toBe(true);
  }
  expect(statSync(PRIVATE).mode & 0o077).toBe(0);
  expect(statSync(join(PRIVATE, 'caster/READ-ME.txt')).mode & 0o077).toBe(0);
  expect(readFileSync(join(PRIVATE, 'READ-ME-FIRST.txt'), 'utf8')).toContain('Do not upload');
  const note = readFileSync(join(PRIVATE, 'caster/READ-ME.txt'), 'utf8');
  expect(note).toMatch(/SHRINKAGE IS ALREADY IN THE FILES: they are 1\.5 %/);
  expect(note).toMatch(/POLISHING IS ALREADY IN THE FILES: 0\.03 mm/);
  expect(note).not.toContain('NOT FOR AN ORDINARY CASTER');
  expect(await verifyCatalogue(folder, 'cast', { remove: false })).toMatchObject({
    damage: [],
    unfinished: false,
  });
  expect((await make('{ shrinkage: 1.5 %, polish: 0.03 mm }')).result.upToDate).toBe(true);

  // what is lost there comes back, what is others' stays, and a run of one SKU leaves the others' files alone
  writeFileSync(join(PRIVATE, 'caster/from-the-caster.txt'), '');
  rmSync(join(PRIVATE, 'sheets/C-T-RUB-bench.html'));
  const part = await make('{ shrinkage: 1.5 %, polish: 0.03 mm }', 'true', (sku) => sku === 'C-T-RUB');
  expect(part.result.upToDate).toBe(false);
  expect(existsSync(join(PRIVATE, 'sheets/C-T-RUB-bench.html'))).toBe(true);
  expect(parts('cast-private/caster')).toHaveLength(2 * 3);
  expect(readdirSync(join(PRIVATE, 'sheets'))).toHaveLength(2 * skus.length);

  await make('false', 'false');
  expect(all('cast-private').sort()).toEqual(['caster', 'caster/from-the-caster.txt']);
  rmSync(PRIVATE, { recursive: true });
});

it('gc leaves what the private folder is made from', async () => {
  await make('true');
  await clearStore(folder, { keep: 0 });
  rmSync(PRIVATE, { recursive: true });
  const again = await make('true');
  expect(again.events.some((e) => e.event === 'sheet' || e.event === 'part')).toBe(false);
  expect(parts('cast-private/caster')).toHaveLength(2 * 3);
});

it('writes each alloy part once, with stated allowances, and masses that follow', async () => {
  const asked = '{ shrinkage: 1.5 %, polish: 0.03 mm, sprue: 20 %, publish: true }';
  const { catalogue, events } = await make(asked, '{ publish: true }');
  expect(catalogue.items).toHaveLength(4);
  expect(parts('cast/models/bench')).toHaveLength(2 * 3);
  expect(readFileSync(join(folder, 'cast/models/bench/READ-ME.txt'), 'utf8')).toContain(
    'ALREADY IN THE FILES',
  );
  // nothing is kept twice
  expect(existsSync(PRIVATE)).toBe(false);
  const stated = events.flatMap((e) => (e.event === 'part' ? [e.allowances] : []));
  expect(new Set(stated)).toEqual(new Set(['enlarged 1.5 % for shrinkage, 0.03 mm left for polishing']));
  for (const { bands } of catalogue.items) {
    const { caster, metals } = bands[0];
    expect(caster).toMatchObject({ shrinkage: 0.015, polishMm: 0.03, sprue: 0.2 });
    for (const part of caster?.parts ?? []) {
      const stl = part.files.find((f) => f.format === 'stl');
      const read = stlVolume(readFileSync(join(folder, 'cast', stl?.file ?? '')));
      expect(Math.abs(read / (part.castVolumeMm3 * 1.015 ** 3) - 1)).toBeLessThan(1e-3);
      const metal = metals.find((m) => m.alloy === part.alloy);
      expect(part.finishedMassG).toBeCloseTo(metal?.massG ?? 0, 9);
      const density = (metal?.massG ?? 0) / (metal?.volumeMm3 ?? 1);
      expect(part.castMassG).toBeCloseTo(part.castVolumeMm3 * density * 1.2, 9);
      expect(part.castVolumeMm3).toBeGreaterThan(metal?.volumeMm3 ?? 0);
    }
  }
  const shores = catalogue.items[0].bands[0].caster?.parts.find((p) => p.lanes.length === 2);
  expect(shores?.pieces).toBe(2);
  const list = readFileSync(join(folder, 'cast/C-T-RUB/C-T-RUB-stones.csv'), 'utf8').split('\r\n');
  expect(list[0]).toContain('declared_origin');
  const { rows } = catalogue.items.find((i) => i.sku === 'C-T-RUB')?.bands[0] ?? { rows: [] };
  expect(list[1]).toContain(`C-T-RUB,crest,ruby,natural,`);
  // width, no length, plates of a chart, no quality, as many to order as are set
  expect(list[1]).toContain(`,1.5,,−5 +4.5,,${rows[0].count},${rows[0].count},`);

  const sheet = readFileSync(join(folder, 'cast/C-T-RUB/C-T-RUB-bench.html'), 'utf8');
  expect(sheet).toContain('g as cast');
  expect(sheet).toContain(`${rows[0].count} × `);
  const print = readFileSync(join(folder, 'cast/C-T-RUB/C-T-RUB-bench.pdf'), 'utf8');
  expect(print).toBe(`%PDF of ${sheet.length}`);
  expect(await verifyCatalogue(folder, 'cast', { remove: false })).toMatchObject({ damage: [] });

  const again = await make(asked, '{ publish: true }');
  expect(again.result.upToDate).toBe(true);
  expect(again.events.some((e) => e.event === 'sheet' || e.event === 'part')).toBe(false);
});

it('allows for nothing unless told so, and takes its files away when they are no longer wanted', async () => {
  const { catalogue } = await make('{ publish: true }', '{ publish: true }');
  for (const { bands } of catalogue.items) {
    expect(bands[0].caster).toMatchObject({ shrinkage: 0, polishMm: 0, sprue: 0 });
    for (const part of bands[0].caster?.parts ?? [])
      expect(part.castMassG).toBeCloseTo(part.finishedMassG, 9);
  }
  expect(parts('cast/models/bench').every((n) => n.startsWith('no-allowance_'))).toBe(true);
  expect(parts('cast/models/bench')).toHaveLength(2 * 3);
  const without = await make('false', 'false');
  expect(without.catalogue.items[0].bands[0].caster).toBeUndefined();
  expect(readdirSync(join(folder, 'cast/models/bench'))).toEqual([]);
  expect(existsSync(join(folder, 'cast/C-T-RUB/C-T-RUB-stones.csv'))).toBe(false);
});
