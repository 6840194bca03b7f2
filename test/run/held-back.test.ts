import { expect, it } from 'vitest';
import { subjectsOf } from '../../pipeline/artefacts/subject.ts';
import type { SolidFacts } from '../../pipeline/facts/solid-facts.ts';
import { heldSubjects, heldWarning } from '../../pipeline/run/held-back.ts';
import { config, planOf } from '../plan/workspace.ts';

/** Solids with which nothing is wrong. */
const SOUND: SolidFacts = {
  innerDiameterMm: 53 / Math.PI,
  circumferenceMm: 53,
  widthMm: 5.2,
  thicknessMm: 1.9,
  triangles: 1,
  lanes: ['near-shore', 'tide', 'far-shore'].map((name) => ({ name, volumeMm3: 100 })),
  rows: [],
  fits: [],
  checks: [],
};

it('what alloys alone decide is warned of before a ray is traced: claws of titanium', async () => {
  const { plan } = await planOf(
    config({ grid: 'grid: { size: [ISO 53], metal: [yellow-18, titanium], stone: [ruby] }' }),
  );
  const [gold, titanium] = plan.variants;
  const solids = new Map([[gold.shape, SOUND]]);
  const held = heldSubjects(subjectsOf(plan), solids, plan);
  expect(held).toEqual([{ sku: titanium.sku, rules: ['claw-metal'] }]);
  expect(heldWarning(held)[0]).toContain('bench errors (claw-metal)');
  // nothing is known yet of bands without solids
  expect(heldSubjects(subjectsOf(plan), new Map(), plan)).toEqual([]);
});
