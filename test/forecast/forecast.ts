/**
 * `npm run test:forecast`: one small take is traced as a trial, then five others are foretold, which differ from it and
 * from each other in band, view, ground, size, pixels, noise and colourways, and traced too, in the real browser. Writes
 * output/forecast.json, and ends with 1 if one took more than 30 % more or less processor time than foretold.
 */
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { cpus, loadavg, tmpdir } from 'node:os';
import { join } from 'node:path';
import { takeLooks } from '../../pipeline/artefacts/film.ts';
import { takeScene } from '../../pipeline/artefacts/film-scene.ts';
import type { Plan } from '../../pipeline/plan/plan.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { openWorkplace } from '../../pipeline/run/workplace.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { SEES_PROCESSES } from '../../pipeline/tracer/process-tree.ts';
import { createTracerSession } from '../../pipeline/tracer/session.ts';
import { CASES, smallConfig, TRIAL } from './small-config.ts';

const BOUND = 0.3;
if (!SEES_PROCESSES) {
  console.error('Skipped: processor time is read from /proc, which only Linux has.');
  process.exit(0);
}

const folder = mkdtempSync(join(tmpdir(), 'bandwright-forecast-'));
const session = await createTracerSession({});
let learnt: unknown;
const rows: Record<string, string | number>[] = [];
try {
  const plans: Plan[] = [];
  for (const small of [TRIAL, ...CASES]) {
    const file = join(folder, 'small.yaml');
    writeFileSync(file, smallConfig(small));
    plans.push((await readPlan(file)).plan);
  }
  const [trial, ...others] = plans;
  const place = await openWorkplace(trial, folder);
  place.costs.record(trial.takes[0], trial.quality.noise, await trace(trial));
  await place.costs.save();
  learnt = JSON.parse(readFileSync(join(folder, '.bandwright/costs.json'), 'utf8')).takes[0];
  console.log(`trial ${JSON.stringify(learnt)}`);
  for (const [i, plan] of others.entries()) {
    const [take] = plan.takes;
    const { noise } = plan.quality;
    const { costs } = await openWorkplace(plan, folder);
    const { samples, setUp, tracing } = costs.processor(take, noise);
    const made = await trace(plan);
    if (!made.processor) throw new Error('processor time was not told');
    const real = made.processor.setUp + made.processor.perPath * made.paths;
    const row = {
      config: Object.values(CASES[i]).flat().join(' '),
      foretold: round(setUp + tracing),
      real: round(real),
      ratio: round((setUp + tracing) / real),
      clockForetold: round(costs.predict(take, noise)),
      clockReal: round(made.seconds),
      samplesForetold: round(samples),
      samples: round(made.paths / (take.shot.widthPx * take.shot.heightPx)),
      microseconds: round(1e6 * made.processor.perPath),
      load: round(loadavg()[0]),
    };
    rows.push(row);
    console.log(JSON.stringify(row));
  }
} finally {
  await session.close();
  rmSync(folder, { recursive: true, force: true });
}
mkdirSync('output', { recursive: true });
const machine = `${cpus()[0]?.model.trim()}, ${cpus().length} cores, Node ${process.versions.node}`;
writeFileSync(
  'output/forecast.json',
  `${JSON.stringify({ machine, bound: BOUND, trial: learnt, takes: rows }, null, 2)}\n`,
);
const worst = Math.max(...rows.map((r) => Math.abs(Number(r.ratio) - 1)));
console.log(`${machine}: at worst ${(100 * worst).toFixed(0)} % off`);
process.exitCode = worst > BOUND ? 1 : 0;

async function trace(plan: Plan) {
  const [take] = plan.takes;
  const shapes = await Promise.all(take.shapes.map((key) => buildShape(plan.shapes[key])));
  const { seed, noise, passCap, filter } = plan.quality;
  const quality = { seed, noiseTarget: noise, passCap, filtered: filter };
  return session.trace(takeScene(take.shot, takeLooks(take), shapes), quality);
}

function round(x: number): number {
  return Number(x.toPrecision(3));
}
