import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { makeCatalogue } from '../../pipeline/run/make.ts';
import { planOf } from '../plan/workspace.ts';
import { parseCsv } from '../publish/parse-csv.ts';
import { greyTake } from './grey-take.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-held-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const CONFIG = `
catalogue: held
title: Held
workshop: Test bench
template: plain-court
overrides: { chord-tolerance: 0.1 mm }
grid: { size: [ISO 52], metal: [yellow-18, platinum-950] }
pairs: [{ name: duo, when: { metal: platinum-950 }, partner: { size: ISO 58, metal: yellow-18 } }]
shots: [three-quarter, pair]
frame: 16 px
price: { currency: EUR, metals: { yellow-18: 100 /g, platinum-950: 100 /g } }
proofs: true
orders: orders.csv
outputs: { images: [{ format: png, widths: [16] }], glb: false }
sku: H-{metal}
`;
const ORDERS = 'order,names,sku\nA1,Quillabert,H-Y18\nB2,Zephyrine,H-P950\n';

async function make(bench = '', only?: (sku: string) => boolean) {
  const { plan } = await planOf(`${CONFIG}${bench}\n`, { 'orders.csv': ORDERS });
  const { failed } = await makeCatalogue(plan, {
    out: folder,
    only,
    openTracer: async () => ({ trace: greyTake, close: async () => {} }),
    report: () => {},
    signal: new AbortController().signal,
  });
  const proofs = readdirSync(join(folder, 'held-private/proofs')).filter((n) => n.endsWith('.html'));
  const { items } = JSON.parse(readFileSync(join(folder, 'held/catalogue.json'), 'utf8'));
  const priced = items
    .filter((i: { bands: { price?: object }[] }) => i.bands.every((b) => b.price))
    .map((i: { sku: string }) => i.sku);
  const rows = parseCsv(readFileSync(join(folder, 'held-private/prices.csv'), 'utf8')).slice(1);
  return { failed: [...failed], proofs, priced, charged: [...new Set(rows.map(([sku]) => sku))] };
}

const THICK = 'limits: { cast-wall: 5 mm }';

it('bands that fail a bench error have no price, no proof and no line in the maker’s prices, and an earlier proof goes', async () => {
  const sound = await make();
  expect(sound.failed).toEqual([]);
  expect(sound.proofs).toHaveLength(3);
  expect(sound.priced).toHaveLength(3);

  const half = await make(
    `bench: { ${THICK}, waive: { cast-wall: { reason: cast thick, when: { metal: platinum-950 } } } }`,
  );
  const why = 'no proof: held back by the bench error cast-wall';
  expect(half.failed).toEqual([
    ['order in line 2', why],
    // its partner is yellow; a waiver for platinum does not cover it
    ['H-P950-duo', why],
  ]);
  expect(half.proofs).toHaveLength(1);
  expect(readFileSync(join(folder, 'held-private/proofs', half.proofs[0]), 'utf8')).toContain('Zephyrine');
  expect(half.priced).toEqual(['H-P950']);
  expect(half.charged).toEqual(['H-P950']);

  // a run of this band alone leaves what others have, and still withdraws its own
  await make();
  const one = await make(`bench: { ${THICK} }`, (sku) => sku === 'H-Y18');
  expect(one.failed.map(([name]) => name)).toEqual(['order in line 2']);
  expect(one.proofs).toHaveLength(2);
  const texts = one.proofs.map((n) => readFileSync(join(folder, 'held-private/proofs', n), 'utf8'));
  expect(texts.join()).not.toContain('Quillabert');
  expect(existsSync(join(folder, 'held-private/proofs'))).toBe(true);
});
