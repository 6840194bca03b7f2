/** A band with an order's own letters: solids, sheet and caster's files, and what is remembered of them. */
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { engravedBand, engravedNames, wasEngraved } from '../../pipeline/artefacts/engraved-bands.ts';
import type { Source } from '../../pipeline/artefacts/kind.ts';
import { isEngraved } from '../../pipeline/artefacts/letter-faults.ts';
import { HELD, proofContent } from '../../pipeline/artefacts/proof-content.ts';
import { proofSubjects } from '../../pipeline/artefacts/proof-subject.ts';
import type { SOLID } from '../../pipeline/artefacts/solid.ts';
import { type SolidFacts, solidFacts } from '../../pipeline/facts/solid-facts.ts';
import { stlVolume } from '../../pipeline/model/stl.ts';
import type { Plan } from '../../pipeline/plan/plan.ts';
import { isRefused } from '../../pipeline/problem.ts';
import { codeVersions } from '../../pipeline/run/version.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { planOf } from '../plan/workspace.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-engraved-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const CONFIG = `
catalogue: engraved
title: Engraved
workshop: Trial bench
template: plain-court
overrides: { chord-tolerance: 0.05 mm }
grid: { size: [ISO 52] }
shots: [three-quarter]
orders: orders.csv
outputs: { sheets: true, caster: { shrinkage: 2 % } }
sku: E-{size}
`;
const NAME = 'order-0123456789abcdef';
const versions = await codeVersions();

async function ordered(letters: string) {
  const { plan } = await planOf(CONFIG, {
    'orders.csv': `order,names,sku,engraving-1\nNo 7,N,E-ISO52,${letters}\n`,
  });
  const [order] = plan.proofs?.orders ?? [];
  const [band] = order.bands.filter(isEngraved);
  return { plan, order, band, source: { plan, versions, folder, print: async () => undefined } };
}
const bytesOf = async (files: { name: string; data: () => Promise<Uint8Array | undefined> }[], end: string) =>
  Buffer.from((await files.find(({ name }) => name.endsWith(end))!.data())!);
const metalOf = async (plan: Plan) => (await buildShape(Object.values(plan.shapes)[0])).lanes[0].volumeMm3;

it('has them cut out of its metal, on its sheet and in its files, and in no name', async () => {
  const { plan, order, band, source } = await ordered('Quillabert');
  const { facts, files } = await engravedBand(NAME, 1, band, order, source);
  const told = facts(plan);
  expect(told.marks?.engravings).toMatchObject([{ side: 'inside', text: 'Quillabert', depthMm: 0.15 }]);
  expect(told.checks.filter((c) => c.rule.startsWith('engraving-')).map((c) => c.passed)).toEqual([
    true,
    true,
    true,
  ]);

  const metal = told.metals[0].volumeMm3;
  const cut = (await metalOf(plan)) - metal;
  // ten letters of some 0.13 mm of stroke and 3 mm of it each, 0.15 mm deep
  expect(cut).toBeGreaterThan(0.2);
  expect(cut).toBeLessThan(1);
  // the file is 2 % larger each way than the solid with its letters
  expect(stlVolume(await bytesOf(files, '.stl')) / 1.02 ** 3 / metal).toBeCloseTo(1, 5);

  const sheet = (await bytesOf(files, 'bench-1.html')).toString();
  expect(sheet).toContain('Quillabert');
  expect(sheet).toContain('Order No 7');
  expect(sheet.match(/class="letters"/g)).toHaveLength(1);
  expect(files.map(({ name }) => name).sort()).toEqual(engravedNames(NAME, 1, band, plan).sort());
  for (const { name } of files) expect(name).not.toContain('Quill');
  const parts = files.filter(({ name }) => /\.(?:stl|3mf)$/.test(name)).map(({ name }) => name);
  expect(parts).toEqual(
    ['stl', '3mf'].map((end) => `incl-2pct-shrinkage-no-polish_yellow-18-${NAME}-1.${end}`),
  );
  for (const end of ['.stl', '.3mf']) expect((await bytesOf(files, end)).includes('Quillabert')).toBe(false);
});

it('is remembered in the private folder until anything that decides it changes', async () => {
  const { plan, order, band, source } = await ordered('one');
  expect(await wasEngraved(NAME, 1, band, source)).toBe(false);
  const made = await engravedBand(NAME, 1, band, order, source);
  const kept = JSON.parse((await bytesOf(made.files, 'facts-1.json')).toString());
  // marked, so that it shows whether it is read again
  kept.solid.widthMm = 99;
  mkdirSync(join(folder, 'proofs'), { recursive: true });
  writeFileSync(join(folder, 'proofs', `${NAME}-facts-1.json`), JSON.stringify(kept));
  expect(await wasEngraved(NAME, 1, band, source)).toBe(true);
  expect((await engravedBand(NAME, 1, band, order, source)).facts(plan).widthMm).toBe(99);

  const other = await ordered('two');
  expect(await wasEngraved(NAME, 1, other.band, other.source)).toBe(false);
  const fresh = await engravedBand(NAME, 1, other.band, other.order, other.source);
  expect(fresh.facts(other.plan)).toMatchObject({ widthMm: 4, marks: { engravings: [{ text: 'two' }] } });
});

it('holds its proof back where its letters break a rule that nothing waives', async () => {
  const letters = 'thickness: 1.4 mm, engraving: { outside: { lane: band, depth: 0.95 mm, walls: 0 deg } }';
  const deep = CONFIG.replace('0.05 mm }', `0.05 mm, ${letters} }`);
  const content = async (bench: string) => {
    const { plan } = await planOf(deep + bench, {
      'orders.csv': 'order,names,sku,outside-1\nNo 7,N,E-ISO52,HIH\n',
    });
    const [subject] = proofSubjects(plan, plan.proofs!);
    const [band] = subject.order!.bands.filter(isEngraved);
    const own = await engravedBand(subject.name, 1, band, subject.order!, {
      ...{ plan, versions, folder, print: async () => undefined },
    });
    const plain = solidFacts(await buildShape(plan.shapes[band.variant.shape]));
    return proofContent(subject, [own], withFacts(plan, plain));
  };
  expect(isRefused(await content('bench: { waive: { engraving-wall: { reason: A trial } } }'))).toBe(false);
  expect(await content('')).toMatchObject({
    problems: [{ code: HELD, received: expect.stringContaining('engraving-wall') }],
  });
});

/** A store that knows the facts of the catalogue's only shape. */
function withFacts(plan: Plan, facts: SolidFacts): Source {
  const pieces = (kind: typeof SOLID) => kind.plan({ plan, versions } as Parameters<typeof kind.plan>[0]);
  return { plan, versions, kinds: [], pieces, records: { get: async () => facts } } as unknown as Source;
}
