import { mkdtempSync, readdirSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { Costs } from '../../pipeline/run/cost.ts';
import { forecast } from '../../pipeline/run/forecast.ts';
import { makeCatalogue } from '../../pipeline/run/make.ts';
import { config, planOf } from '../plan/workspace.ts';
import { greyTake } from './grey-take.ts';

const out = mkdtempSync(join(tmpdir(), 'bandwright-forecast-'));
afterAll(() => rmSync(out, { recursive: true, force: true }));

const CONFIG = config({
  overrides: 'overrides: { chord-tolerance: 0.1 mm, rows: { crest: { coverage: 60 deg } } }',
  grid: 'grid: { size: [ISO 53, ISO 60], metal: [yellow-18, white-18], stone: [diamond] }',
  pairs: 'pairs: [{ name: duo, when: { size: ISO 53 }, partner: { size: ISO 60, stones: false } }]',
  shots: 'shots: [front, pair]',
  frame: 'frame: 16 px',
  proofs: 'proofs: { pairs: true }',
  outputs:
    'outputs: { images: [{ format: png, widths: [16] }], glb: { each: true }, usdz: true, caster: true, sheets: true, swatches: true }',
  sku: 'sku: B-{size}-{metal}',
});

async function told() {
  const { plan } = await planOf(CONFIG);
  const { beside, predictedSeconds, predictedBytes } = await forecast(plan, out);
  const kinds = Object.fromEntries(beside.map((b) => [b.kind, b]));
  const counts = Object.fromEntries(beside.map((b) => [b.kind, [b.total, b.cached]]));
  return { plan, kinds, counts, predictedSeconds, predictedBytes };
}

const bytesIn = (folder: string) =>
  readdirSync(join(out, 'trial', folder)).reduce(
    (n, f) => n + statSync(join(out, 'trial', folder, f)).size,
    0,
  );

it('counts parts, sheets, swatches, models and proofs as it does pictures, and what of them is there', async () => {
  const before = await told();
  // sizes 53 and 60, and the partner without stones; a band of one metal is one part
  expect(before.counts).toEqual({
    shape: [3, 0],
    model: [3, 0],
    usdz: [3, 0],
    'own-glb': [6, 0],
    'own-usdz': [6, 0],
    part: [6, 0],
    swatch: [4, 0],
    sheet: [6, 0],
    proof: [2, 0],
  });
  expect(Object.values(before.kinds).some((k) => k.measured)).toBe(false);
  const result = await makeCatalogue(before.plan, {
    out,
    openTracer: async () => ({
      trace: greyTake,
      print: async (html) => Buffer.from(`%PDF of ${html.length}`),
      close: async () => {},
    }),
    report: () => {},
    signal: new AbortController().signal,
  });
  expect([...result.failed.values()]).toEqual([]);
  const after = await told();
  for (const [kind, [total]] of Object.entries(before.counts))
    expect(after.counts[kind]).toEqual([total, total]);
  expect(after.predictedSeconds).toBe(0);
  expect(Object.values(after.kinds).every((k) => k.measured)).toBe(true);
  // measured bytes of this very catalogue: what lies there, twice for what the store keeps too
  const near = (predicted: number, actual: number) =>
    expect(Math.abs(predicted / actual - 1), `${predicted} for ${actual}`).toBeLessThan(0.3);
  near(after.kinds.part.predictedBytes, 2 * bytesIn('../trial-private/caster'));
  near(
    after.kinds['own-glb'].predictedBytes + after.kinds['own-usdz'].predictedBytes,
    bytesIn('models/each'),
  );
});

it('costs of pieces are means, in which the newest weigh at least a fifth, and outlive the process', async () => {
  const file = join(out, 'costs.json');
  const costs = new Costs(file);
  expect(costs.piece('part').measured).toBe(false);
  costs.recordPieces('part', 6, 300, 3);
  expect(costs.piece('part')).toMatchObject({ seconds: 2, bytes: 100, measured: true });
  for (let i = 0; i < 20; i++) costs.recordPieces('part', 2, 100);
  costs.recordPieces('part', 12, 100);
  expect(costs.piece('part').seconds).toBeCloseTo(2 + 10 / 5, 9);
  await costs.savePieces();
  expect(new Costs(file).piece('part').seconds).toBeCloseTo(4, 9);
});
