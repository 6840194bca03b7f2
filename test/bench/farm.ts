/**
 * `npm run bench:farm`: how a plan of a million pictures would spread over 1 to 1,000 workers, simulated from costs
 * measured here: seconds a take from `output/.bandwright/costs.json` (written by `make`; without it a guess that is said),
 * the store's writing speed and the publisher's time a picture by writing real files. Writes its figures into
 * output/bench.json.
 */
import { randomBytes } from 'node:crypto';
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { cpus } from 'node:os';
import { join } from 'node:path';
import { placeFolder } from '../../pipeline/publish/item-folder.ts';
import { ArtefactStore } from '../../pipeline/publish/store.ts';
import { type CostTable, FIRST_GUESS, PIECE_GUESS, REFERENCE_NOISE } from '../../pipeline/run/cost.ts';
import { ENCODE_SECONDS, FILM_BYTES_PER_PIXEL } from '../../pipeline/run/forecast.ts';
import { bottleneck, type FarmTake, simulateFarm } from './farm-simulation.ts';

const FILE = 'output/bench.json';
const PICTURES = 1_000_000;
const COLOURWAYS = 4;
const SIDE_PX = 900;
const NOISE = 0.05;
const WORKERS = [1, 3, 10, 30, 100, 300, 1000];
/** A hand-out costs a few commands of Redis, which answers some 100,000 a second on one core (redis-benchmark, from memory). */
const QUEUE_SECONDS = 1e-4;
const PICTURE_BYTES = 120_000;

const figures: Record<string, number> = existsSync(FILE) ? JSON.parse(readFileSync(FILE, 'utf8')) : {};
console.log(`${cpus()[0]?.model.trim()}, ${cpus().length} cores, Node ${process.versions.node}`);

const rates = costRates();
const { storeBytesPerSecond, publishSeconds } = await measureFiles();
const takes = planTakes();
const bytes = takes.reduce((s, t) => s + t.bytes, 0);
const work = takes.reduce((s, t) => s + t.seconds, 0);
console.log(
  `${PICTURES.toLocaleString('en')} pictures of ${SIDE_PX}² at ${NOISE * 100} % noise in ${takes.length.toLocaleString('en')} takes: ` +
    `${hours(work)} of one worker, ${(bytes / 1e12).toFixed(2)} TB through the store\n` +
    `store ${(storeBytesPerSecond / 1e6).toFixed(0)} MB/s and publisher ${(publishSeconds * 1000).toFixed(1)} ms a picture, measured here; queue ${QUEUE_SECONDS * 1000} ms a take, assumed\n`,
);
console.log('workers   makespan    idle   queue   store  publisher  busiest');
let first: string | undefined;
let beyond = '';
for (const workers of WORKERS) {
  const result = simulateFarm({
    takes,
    workers,
    queueSeconds: QUEUE_SECONDS,
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
mkdirSync('output', { recursive: true });
writeFileSync(FILE, `${JSON.stringify(figures, null, 2)}\n`);

function costRates(): number[] {
  const file = 'output/.bandwright/costs.json';
  if (existsSync(file)) {
    const { views } = JSON.parse(readFileSync(file, 'utf8')) as CostTable;
    const found = Object.values(views).map((v) => v.secondsPerMegapixel);
    if (found.length > 0) {
      console.log(`take costs of ${Object.keys(views).join(', ')}, measured by make`);
      return found;
    }
  }
  console.log('no take was measured here yet (npm start does it): costs are a first guess');
  return [FIRST_GUESS];
}

/** Views in turn; seconds vary from take to take as stones and finishes do, evenly by ±40 %, in a fixed order. */
function planTakes(): FarmTake[] {
  const megapixels = SIDE_PX ** 2 / 1e6;
  return Array.from({ length: PICTURES / COLOURWAYS }, (_, i) => {
    const vary = 0.6 + 0.8 * ((i * 0.618033988749895) % 1);
    const trace = rates[i % rates.length] * megapixels * (REFERENCE_NOISE / NOISE) ** 2 * vary;
    return {
      seconds: PIECE_GUESS.shape.seconds + trace + COLOURWAYS * ENCODE_SECONDS,
      bytes: COLOURWAYS * (FILM_BYTES_PER_PIXEL * SIDE_PX ** 2 + PICTURE_BYTES),
      pictures: COLOURWAYS,
    };
  });
}

/** Real files below output/, flushed as in a run. */
async function measureFiles(): Promise<{ storeBytesPerSecond: number; publishSeconds: number }> {
  mkdirSync('output', { recursive: true });
  const root = mkdtempSync(join('output', 'farm-'));
  try {
    const store = new ArtefactStore(join(root, 'store'));
    const film = randomBytes(FILM_BYTES_PER_PIXEL * SIDE_PX ** 2);
    let start = performance.now();
    const films = 40;
    for (let i = 0; i < films; i++) await store.put('film', i.toString(16).padStart(64, '0'), film);
    const storeBytesPerSecond = (films * film.length) / ((performance.now() - start) / 1000);
    const picture = randomBytes(PICTURE_BYTES);
    const files = [0, 1, 2].map((k) => ({ name: `picture-${k}.webp`, data: async () => picture }));
    start = performance.now();
    const folders = 40;
    for (let i = 0; i < folders; i++) await placeFolder(root, `SKU-${i}`, files, '{}');
    return { storeBytesPerSecond, publishSeconds: (performance.now() - start) / 1000 / folders };
  } finally {
    rmSync(root, { recursive: true, force: true });
  }
}

function hours(seconds: number): string {
  return seconds < 7200 ? `${(seconds / 60).toFixed(0)} min` : `${(seconds / 3600).toFixed(1)} h`;
}

function round(x: number): number {
  return Number(x.toPrecision(4));
}
