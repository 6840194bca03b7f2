/** What a farm's simulation rests on, measured on this machine. */

import { randomBytes } from 'node:crypto';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { Queue, Worker } from 'bullmq';
import { Redis } from 'ioredis';
import { lastingConnection } from '../../pipeline/farm/queue-connection.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { placeFolder } from '../../pipeline/publish/item-folder.ts';
import { type CostTable, megapixelSeconds } from '../../pipeline/run/cost.ts';
import { draftPlan } from '../../pipeline/run/draft.ts';
import { makeCatalogue } from '../../pipeline/run/make.ts';
import { ArtefactStore } from '../../pipeline/store/artefact-store.ts';
import { artefactKey } from '../../pipeline/store/content-key.ts';
import { usableCores } from '../../pipeline/tracer/cores.ts';
import { createTracerSession } from '../../pipeline/tracer/session.ts';
import { HAS_REDIS, RedisServer } from '../farm/redis-server.ts';

export interface FileCosts {
  storeBytesPerSecond: number;
  /** of one picture */
  publishSeconds: number;
}

/** Real files below `folder`, flushed as in a run. */
export async function measureFiles(
  folder: string,
  filmBytes: number,
  pictureBytes: number,
): Promise<FileCosts> {
  const root = mkdtempSync(join(folder, 'farm-'));
  try {
    const store = new ArtefactStore(join(root, 'store'));
    const film = randomBytes(filmBytes);
    let start = performance.now();
    const films = 40;
    for (let i = 0; i < films; i++) await store.put('film', artefactKey(i), film);
    const storeBytesPerSecond = (films * film.length) / ((performance.now() - start) / 1000);
    const picture = randomBytes(pictureBytes);
    // a picture's folder: one file in each of three sizes
    const files = [0, 1, 2].map((k) => ({ name: `picture-${k}.webp`, data: async () => picture }));
    start = performance.now();
    const folders = 40;
    for (let i = 0; i < folders; i++) await placeFolder(root, `SKU-${i}`, files, '{}');
    return { storeBytesPerSecond, publishSeconds: (performance.now() - start) / 1000 / folders };
  } finally {
    rmSync(root, { recursive: true, force: true });
  }
}

/**
 * Seconds of a Redis server's own processor time for a take that is offered, looked at ten times, handed out and
 * completed; undefined where there is no redis-server. Processor time, so that a busy machine counts little.
 */
export async function measureQueue(folder: string, takes = 500): Promise<number | undefined> {
  if (!HAS_REDIS) return undefined;
  const root = mkdtempSync(join(folder, 'farm-'));
  const server = await RedisServer.start(root);
  const url = server.url();
  const ended = new AbortController();
  const connection = lastingConnection(url, ended.signal);
  const queue = new Queue('bench', { connection });
  const redis = new Redis(url.connection);
  const busy = async () => {
    const cpu = await redis.info('cpu');
    const seconds = (name: string) => Number(new RegExp(`${name}:([\\d.]+)`).exec(cpu)?.[1]);
    return seconds('used_cpu_user') + seconds('used_cpu_sys');
  };
  let worker: Worker | undefined;
  try {
    await queue.waitUntilReady();
    const before = await busy();
    const ids = Array.from({ length: takes }, (_, i) => `${i}`.padStart(64, '0'));
    for (const jobId of ids)
      await queue.add('take', { record: jobId, plan: jobId, engine: jobId }, { jobId });
    let done = 0;
    worker = new Worker('bench', async () => {}, { connection });
    await new Promise<void>((resolve) => worker?.on('completed', () => ++done === takes && resolve()));
    for (let look = 0; look < 10; look++) await Promise.all(ids.map((id) => queue.getJobState(id)));
    return ((await busy()) - before) / takes;
  } finally {
    redis.disconnect();
    await worker?.close();
    ended.abort();
    await queue.close();
    await server.kill();
    rmSync(root, { recursive: true, force: true });
  }
}

export interface TakeCosts {
  /** seconds that all cores of this machine need for a megapixel in one colourway, of each take */
  rates: number[];
  where: string;
}

/** What `make` measured here, or else the demo's takes as a draft, traced now to their noise target. */
export async function takeCosts(folder: string, noise: number): Promise<TakeCosts> {
  const earlier = ratesIn(folder, noise);
  if (earlier) return { ...earlier, where: `${earlier.where}, measured by earlier runs of make` };
  const root = mkdtempSync(join(folder, 'farm-'));
  try {
    const { plan } = await readPlan('configs/demo.yaml');
    const draft = draftPlan(plan);
    await makeCatalogue(
      {
        ...draft,
        quality: { ...draft.quality, passCap: plan.quality.passCap },
        glb: false,
        sheets: false,
      },
      {
        out: root,
        openTracer: () => createTracerSession({}),
        report: (e) => e.event === 'take-done' && console.log(`measured a take: ${e.seconds.toFixed(1)} s`),
        signal: new AbortController().signal,
      },
    );
    // a draft's takes teach drafts only
    const now = ratesIn(root, noise, 'costs-draft.json');
    if (!now) throw new Error('no take was measured');
    return { ...now, where: `${now.where}, measured now on the demo as a draft` };
  } finally {
    rmSync(root, { recursive: true, force: true });
  }
}

function ratesIn(folder: string, noise: number, name = 'costs.json'): TakeCosts | undefined {
  const file = join(folder, '.bandwright', name);
  if (!existsSync(file)) return undefined;
  const { version, takes } = JSON.parse(readFileSync(file, 'utf8')) as CostTable;
  if (version !== 3 || takes.length === 0) return undefined;
  return {
    rates: takes.map((t) => megapixelSeconds(t, noise, Number.POSITIVE_INFINITY) / usableCores()),
    where: `of ${[...new Set(takes.map((t) => t.view))].join(', ')}`,
  };
}
