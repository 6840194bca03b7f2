/**
 * Builds its share of a grid of shapes, one after the other: `shapes-worker.ts PART COUNT`. Ten times on the way it
 * prints, as a line of JSON, how many are built, the processor's seconds so far and the memory it holds.
 */
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';

const [part, count] = process.argv.slice(2).map(Number);
const { plan } = await readPlan('test/bench/band.yaml');
const bands = Object.values(plan.shapes);
const every = Math.max(1, Math.floor(count / 10));
let refused = 0;
for (let i = 0; i < count; i++) {
  const band = bands[i % bands.length];
  const step = 2 * i + part;
  try {
    // sizes of a ring stick and some thicknesses, no two alike
    await buildShape({
      ...band,
      circumferenceMm: 46 + (step % 251) * 0.08,
      thicknessMm: band.thicknessMm + (step % 7) * 0.02,
    });
  } catch (error) {
    if (!(error instanceof ProblemError)) throw error;
    refused++;
  }
  if ((i + 1) % every !== 0) continue;
  const { user, system } = process.cpuUsage();
  const seconds = (user + system) / 1e6;
  console.log(
    JSON.stringify({ built: i + 1 - refused, seconds, megabytes: process.memoryUsage().rss / 1e6 }),
  );
}
if (refused > count / 10) throw new Error(`${refused} of ${count} shapes were refused`);
