/**
 * `npm run bench:farm`: how a plan of a million pictures would spread over 1 to 1,000 workers, simulated from costs
 * measured here: seconds a take (by earlier runs of `make` into output/, else on the demo as a draft), the store's
 * writing speed and the publisher's time a picture by writing real files, the queue's on a Redis server of its own.
 * Writes its figures into output/bench.json.
 */
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { cpus, loadavg } from 'node:os';
import { PIECE_COSTS } from '../../pipeline/artefacts/kinds.ts';
import { ENCODE_SECONDS, FILM_BYTES_PER_PIXEL } from '../../pipeline/run/forecast.ts';
import { colourwayFactor } from '../../pipeline/run/take-work.ts';
import { measureFiles, measureQueue, takeCosts } from './farm-costs.ts';
import { bottleneck, type FarmTake, simulateFarm } from './farm-simulation.ts';

const FILE = 'output/bench.json';
const PICTURES = 1_000_000;
const COLOURWAYS = 4;
const SIDE_PX = 900;
const NOISE = 0.05;
const WORKERS = [1, 3, 10, 30, 100, 300, 1000];
/** Where there is no Redis to measure: some 100,000 commands a second on one core (redis-benchmark, from memory). */
const ASSUMED_QUEUE_SECONDS = 1e-4;
const PICTURE_BYTES = 120_000;

const figures: Record<string, number> = existsSync(FILE) ? JSON.parse(readFileSync(FILE, 'utf8')) : {};
console.log(
  `${cpus()[0]?.model.trim()}, ${cpus().length} cores, Node ${process.versions.node}, load ${loadavg()[0].toFixed(1)}`,
);

mkdirSync('output', { recursive: true });
const { rates, where } = await takeCosts('output', NOISE);
console.log(
  `take costs ${where}: ${rates.map((r) => r.toFixed(0)).join(', ')} s a megapixel at ${NOISE * 100} % noise`,
);
if (loadavg()[0] > 1.5 * cpus().length)
  console.log(
    `others were at work here (load ${loadavg()[0].toFixed(1)}): a quiet machine is faster, and its farm fuller`,
  );
const films = FILM_BYTES_PER_PIXEL * SIDE_PX ** 2;
const { storeBytesPerSecond, publishSeconds } = await measureFiles('output', films, PICTURE_BYTES);
const measured = await measureQueue('output');
const queueSeconds = measured ?? ASSUMED_QUEUE_SECONDS;
const takes = planTakes();
const bytes = takes.reduce((s, t) => s + t.bytes, 0);
const work = takes.reduce((s, t) => s + t.seconds, 0);
console.log(
  `${PICTURES.toLocaleString('en')} pictures of ${SIDE_PX}² at ${NOISE * 100} % noise in ${takes.length.toLocaleString('en')} takes: ` +
    `${hours(work)} of one worker, ${(bytes / 1e12).toFixed(2)} TB through the store\n` +
    `store ${(storeBytesPerSecond / 1e6).toFixed(0)} MB/s and publisher ${(publishSeconds * 1000).toFixed(1)} ms a picture, measured here; queue ${(queueSeconds * 1000).toFixed(2)} ms a take, ${measured === undefined ? 'assumed' : 'measured here'}\n`,
);
console.log('workers   makespan    idle   queue   store  publisher  busiest');
let first: string | undefined;
let beyond = '';
for (const workers of WORKERS) {
  const result = simulateFarm({
    takes,
    workers,
    queueSeconds,
    storeBytesPerSecond,
    publishSeconds,
  });
  const busiest = bottleneck(result);
  if (busiest !== 'workers') first ??= `${busiest}, at ${workers} workers`;
  // a server's share of the time grows with the workers, so it says where it will be full
  const servers = (['queue', 'store', 'publisher'] as const).map((name) => ({
    name,
    busy: result.busy[name],
  }));
  const fullest = servers.reduce((a, b) => (b.busy > a.busy ? b : a));
  beyond = `the ${fullest.name}, at about ${Math.round(workers / fullest.busy / 100) * 100} workers; until there the workers themselves`;
  const share = (x: number) => `${(100 * x).toFixed(1)} %`.padStart(7);
  console.log(
    `${String(workers).padStart(7)} ${hours(result.makespanSeconds).padStart(10)} ${share(result.idleShare)} ${share(result.busy.queue)} ${share(result.busy.store)} ${share(result.busy.publisher).padStart(10)}  ${busiest}`,
  );
  figures[`farm_${workers}_makespan_h`] = round(result.makespanSeconds / 3600);
  figures[`farm_${workers}_idle_share`] = round(result.idleShare);
}
figures.farm_store_tb = round(bytes / 1e12);
console.log(`\nfirst bottleneck: ${first ?? beyond}`);
writeFileSync(FILE, `${JSON.stringify(figures, null, 2)}\n`);

/** Views in turn; seconds vary from take to take as stones and finishes do, evenly by ±40 %, in a fixed order. */
function planTakes(): FarmTake[] {
  const megapixels = SIDE_PX ** 2 / 1e6;
  return Array.from({ length: PICTURES / COLOURWAYS }, (_, i) => {
    const vary = 0.6 + 0.8 * ((i * 0.618033988749895) % 1);
    const trace = rates[i % rates.length] * megapixels * colourwayFactor(COLOURWAYS) * vary;
    return {
      seconds: (PIECE_COSTS.get('shape')?.guess.seconds ?? 0) + trace + COLOURWAYS * ENCODE_SECONDS,
      bytes: COLOURWAYS * (FILM_BYTES_PER_PIXEL * SIDE_PX ** 2 + PICTURE_BYTES),
      pictures: COLOURWAYS,
    };
  });
}

function hours(seconds: number): string {
  return seconds < 7200 ? `${(seconds / 60).toFixed(0)} min` : `${(seconds / 3600).toFixed(1)} h`;
}

function round(x: number): number {
  return Number(x.toPrecision(4));
}
