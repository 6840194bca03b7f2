import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { FILM } from '../../pipeline/artefacts/film.ts';
import { draftPlan } from '../../pipeline/run/draft.ts';
import { openWorkplace } from '../../pipeline/run/workplace.ts';
import { config, planOf } from '../plan/workspace.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-costs-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

it('what a draft’s takes cost teaches drafts and no real run', async () => {
  const { plan } = await planOf(config());
  const draft = await openWorkplace(draftPlan(plan), folder);
  const [tiny] = draft.work.pieces(FILM);
  const guess = (await openWorkplace(plan, folder)).costs.predict(plan.takes[0], 0.02);
  const paths = 20 * tiny.take.shot.widthPx * tiny.take.shot.heightPx;
  const use = { perPath: 60 / paths, setUp: 2 };
  draft.costs.record(tiny.take, tiny.noise, { paths, passes: 32, seconds: 99, processor: use });
  draft.costs.recordPieces('sheet', 99, 9);
  await draft.costs.save();
  const real = (await openWorkplace(plan, folder)).costs;
  expect(real.measured).toBe(false);
  expect(real.predict(plan.takes[0], 0.02)).toBe(guess);
  expect(real.piece('sheet').measured).toBe(false);
  const again = (await openWorkplace(draftPlan(plan), folder)).costs;
  expect(again.measured).toBe(true);
  const { setUp, tracing } = again.processor(tiny.take, tiny.noise);
  expect(setUp).toBe(2);
  // tiles that end at the least number of samples cannot be foretold with fewer
  expect(tracing / 60).toBeCloseTo(1, 1);
});
