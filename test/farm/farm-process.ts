/**
 * A maker or a worker as a process of its own, which may be killed: `farm-process.ts maker|worker <url> <folder> [lock ms]`.
 * Traces tiny takes without a browser, passes the place `tracer.progress` while it does, and prints its events as lines.
 */
import { makeOnQueue } from '../../pipeline/farm/queue-make.ts';
import { readQueueUrl } from '../../pipeline/farm/queue-url.ts';
import { workTakes } from '../../pipeline/farm/worker.ts';
import { reached } from '../../pipeline/fault-point.ts';
import type { MakeOptions } from '../../pipeline/run/make.ts';
import { openTracer, tinyPlan } from './tiny.ts';

const [role, address, folder, lockMs] = process.argv.slice(2);
const stop = new AbortController();
process.once('SIGTERM', () => stop.abort());
const options: MakeOptions = {
  out: `${folder}/out`,
  report: (event) => process.stdout.write(`${JSON.stringify(event)}\n`),
  signal: stop.signal,
  openTracer: async () => {
    const tracer = await openTracer();
    return {
      trace: async (scene, traceOptions) => {
        const result = tracer.trace(scene, traceOptions);
        // its first units are traced by now
        await new Promise((done) => setTimeout(done, 1));
        await reached('tracer.progress');
        return result;
      },
      close: () => tracer.close(),
    };
  },
};
const url = readQueueUrl(address);
if (role === 'maker') {
  const { failed } = await makeOnQueue(await tinyPlan(folder), url, { ...options, lookMs: 50 });
  process.exitCode = failed.size > 0 ? 1 : 0;
} else await workTakes(url, { ...options, lockMs: Number(lockMs) });
