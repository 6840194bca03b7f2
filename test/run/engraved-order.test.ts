/** An order with letters of its own, from the run to what lies in the private folder. */
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { makeCatalogue } from '../../pipeline/run/make.ts';
import { planOf } from '../plan/workspace.ts';
import { greyTake } from './grey-take.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-letters-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const CONFIG = `
catalogue: letters
title: Letters
workshop: Test bench
template: plain-court
overrides: { chord-tolerance: 0.1 mm, thickness: 1.4 mm, engraving: { outside: { lane: band, depth: 0.95 mm, walls: 0 deg } } }
grid: { size: [ISO 52], metal: [titanium] }
shots: [three-quarter]
frame: 16 px
orders: orders.csv
proofs: true
outputs: { images: [{ format: png, widths: [16] }], glb: false, caster: { shrinkage: 1.5 % } }
sku: L-{metal}
`;

async function make(bench: string, only?: (sku: string) => boolean) {
  const { plan } = await planOf(`${CONFIG}bench: ${bench}\n`, {
    'orders.csv': 'order,names,sku,outside-1\nA1,Quillabert,L-TI,HIH\n',
  });
  const { failed } = await makeCatalogue(plan, {
    out: folder,
    only,
    openTracer: async () => ({ trace: greyTake, close: async () => {} }),
    report: () => {},
    signal: new AbortController().signal,
  });
  return { failed: [...failed.values()], names: readdirSync(join(folder, 'letters-private/proofs')) };
}
const WAIVED = '{ waive: { engraving-wall: { reason: A trial } } }';

it('its files for the caster say first what they allow for, and so does a READ-ME beside them', async () => {
  const { failed, names } = await make(WAIVED);
  expect(failed).toEqual([]);
  const parts = names.filter((name) => /\.(stl|3mf)$/.test(name));
  expect(parts).toHaveLength(2);
  for (const name of parts)
    expect(name).toMatch(
      /^incl-1\.5pct-shrinkage-no-polish-not-for-ordinary-casting_titanium-order-[0-9a-f]{16}-1\./,
    );
  const note = readFileSync(join(folder, 'letters-private/proofs/READ-ME.txt'), 'utf8');
  expect(note).toMatch(/SHRINKAGE IS ALREADY IN THE FILES: they are 1\.5 %/);
  expect(note).toContain('NOT FOR AN ORDINARY CASTER: titanium.');
  // a run of other bands leaves all of it
  expect((await make(WAIVED, () => false)).names.sort()).toEqual(names.sort());
});

it('once cut under a waiver it is refused by line and column when the waiver goes', async () => {
  await expect(make('{}')).rejects.toMatchObject({
    problems: [{ code: 'engraving-wall', severity: 'error', place: { line: 2, column: 20 } }],
  });
});
