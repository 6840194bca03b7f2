/**
 * Five takes foretold after one, in paths and not in seconds: what `npm run test:forecast` does with a browser and a clock.
 * Real kernel, real solids, small frames; the same on every machine.
 */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { takeLooks } from '../../pipeline/artefacts/film.ts';
import { takeScene } from '../../pipeline/artefacts/film-scene.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { Costs } from '../../pipeline/run/cost.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { createNodeTracer } from '../../pipeline/tracer/node-tracer.ts';
import { MIN_SAMPLES } from '../../pipeline/tracer/stop-rule.ts';
import { CASES, type Small, smallConfig, TRIAL } from '../forecast/small-config.ts';
import { kernel } from '../tracer/kernel-fixture.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-foretold-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/**
 * Noise that is asked for here, by that of the command: two thirds of its samples, and of each take still more than the
 * least. Smaller frames would be no cheaper, since their tiles show more of a band and ask for more samples.
 */
const NOISIER = 1.25;

async function planOf(small: Small) {
  const file = join(folder, 'small.yaml');
  const [width, height] = small.frame;
  const noise = `${NOISIER * Number.parseFloat(small.noise)} %`;
  const text = smallConfig({ ...small, noise, frame: [width / 2, height / 2] });
  writeFileSync(file, text.replace('chord-tolerance: 0.04 mm', 'chord-tolerance: 0.1 mm'));
  return (await readPlan(file)).plan;
}

interface Told {
  name: string;
  /** samples a pixel that the take had, and that were foretold after the trial */
  real: number;
  foretold: number;
}

async function toldOf(cases: readonly Small[]): Promise<Told[]> {
  const tracer = createNodeTracer([await kernel()]);
  const file = join(folder, 'costs.json');
  const told: Told[] = [];
  for (const small of [TRIAL, ...cases]) {
    const plan = await planOf(small);
    const [take] = plan.takes;
    const { noise, passCap, seed } = plan.quality;
    const shapes = await Promise.all(take.shapes.map((key) => buildShape(plan.shapes[key])));
    const made = await tracer.trace(takeScene(take.shot, takeLooks(take), shapes), {
      seed,
      noiseTarget: noise,
      passCap,
      filtered: plan.quality.filter,
    });
    const costs = new Costs(file, { passCap, engine: 'node', workers: 1, designs: plan.shapes });
    if (small === TRIAL) {
      costs.record(take, noise, { ...made, processor: { perPath: 2e-6, setUp: 0 } });
      await costs.save();
      continue;
    }
    const real = made.paths / (take.shot.widthPx * take.shot.heightPx);
    told.push({ name: small.template, real, foretold: costs.processor(take, noise).samples });
  }
  return told;
}

it('after a trial the paths of takes of other bands, views, grounds and quality are foretold within 30 %', async () => {
  const told = await toldOf(CASES);
  expect(told).toHaveLength(5);
  for (const { name, real, foretold } of told) {
    const said = `${name}: ${foretold.toFixed(1)} for ${real.toFixed(1)}`;
    expect.soft(Math.abs(foretold / real - 1), said).toBeLessThan(0.3);
  }
  // of takes with the least number of samples all over there is nothing to foretell
  expect(told.filter(({ real }) => real > 1.4 * MIN_SAMPLES).length).toBeGreaterThanOrEqual(4);
}, 240_000);
