/** A worker of the live view's page: has its own kernel and traces its share of every pass into the common film. */
import type { TraceScene } from '../../scene/trace-scene.ts';
import { type Branch, growBranch } from '../../tracer/acceleration.ts';
import { noteSeen } from '../../tracer/film-error.ts';
import { bandsOf, filterBand } from '../../tracer/film-filter.ts';
import { type FilmState, filmState, TILE } from '../../tracer/film-state.ts';
import { FEATURES } from '../../tracer/kernel/layout.ts';
import { KernelHost } from '../../tracer/kernel-host.ts';
import { type Kernel, type Pass, PassShare, scratchFor } from '../../tracer/pass-share.ts';
import { turnedScene } from '../../tracer/turned-scene.ts';
import { WindowFits } from '../../tracer/window-fits.ts';
import { memoryOf } from './branch-memory.ts';
import { Composer } from './composer.ts';
import type { Done, HandAnswer, HandOrder, StillScene } from './orders.ts';

/** Camera rays a pixel for the features by which a film's first pictures are filtered. */
const GLANCE = 4;

let kernel: KernelHost | undefined;
let composer: Composer | undefined;
let fits: WindowFits | undefined;
let still: StillScene | undefined;
let held: Int32Array = new Int32Array(1);
let work: { film: FilmState; share: PassShare; scratch: Float32Array; features?: Float32Array } | undefined;

async function obey(order: HandOrder): Promise<Done | undefined> {
  if (order.kind === 'begin') {
    kernel = await KernelHost.create(order.kernel);
    composer = new Composer(kernel);
    fits = await WindowFits.create(order.filter);
    held = order.held;
    return;
  }
  if (!kernel || !composer || !fits) throw new Error('work was ordered before the kernel was there');
  switch (order.kind) {
    case 'compose': {
      const made = composer.compose(order);
      if ('start' in made) return { growth: made };
      ({ still } = made);
      return { composed: made };
    }
    case 'grow':
      return { branches: grownBranches(order) };
    case 'join': {
      const composed = composer.join(order.branches);
      ({ still } = composed);
      return { composed };
    }
    case 'adopt':
      ({ still } = order.composed);
      if (order.composed.image) kernel.adopt(order.composed.image);
      else kernel.recolour(still);
      return;
    case 'measure':
      if (order.exact) kernel.measureGround(order.share, order.of, new Float32Array(order.grid));
      else kernel.measureGroundSparsely(order.share, order.of, new Float32Array(order.grid));
      return;
    case 'light':
      kernel.takeGround(new Float32Array(order.grid));
      composer.light(order.exact);
      return;
    case 'turn': {
      if (!still) throw new Error('a turn was ordered before a scene');
      const { turn, width, height } = order;
      kernel.turn(turnedScene({ ...still, width, height } as TraceScene, turn, kernel.middle), turn.angle);
      composer.turn();
      return;
    }
    case 'film': {
      const film = filmState(order.size, order.film);
      const features = order.features && new Float32Array(order.features);
      work = { film, share: new PassShare(film, order.share), scratch: scratchFor(film), features };
      return;
    }
    case 'pass':
      if (!work) throw new Error('a pass was ordered before a film');
      passUnits(kernel, work, order.pass);
      return;
    case 'features':
      lookAtRows(kernel, order);
      return;
    case 'filter':
      filterBands(fits, order);
  }
}

/** The largest first, so that all are done together. */
function grownBranches({
  growth: { start, place, rooms },
  taken,
}: Extract<HandOrder, { kind: 'grow' }>): Branch[] {
  const size = (child: number) => start.children[child].to - start.children[child].from;
  const bySize = start.children.map((_, child) => child).sort((a, b) => size(b) - size(a));
  const branches: Branch[] = [];
  const next = () => bySize[Atomics.add(taken, 0, 1)];
  for (let child = next(); child !== undefined; child = next())
    branches.push(growBranch(start, child, place, rooms[child]));
  return branches;
}

/** Comes back when nobody holds the picture. */
function rest(): void {
  while (Atomics.load(held, 0) === 1) Atomics.wait(held, 0, 1);
}

function passUnits(kernel: KernelHost, at: NonNullable<typeof work>, pass: Pass): void {
  const noting = glancing(kernel, at);
  do rest();
  while (at.share.workOne(at.film, noting, pass, at.scratch));
}

/** The kernel, which notes what it says of pixels at a glance, where somebody will ask for it. */
function glancing(kernel: KernelHost, { film, features }: NonNullable<typeof work>): Kernel {
  if (!features) return kernel;
  return {
    render: (...rectangle) => kernel.render(...rectangle),
    features: (x, y, w, h, seed) => {
      const seen = kernel.features(x, y, w, h, seed, GLANCE);
      for (let row = 0; row < h; row++)
        features.set(
          seen.subarray(row * w * FEATURES, (row + 1) * w * FEATURES),
          ((y + row) * film.width + x) * FEATURES,
        );
      return seen;
    },
  };
}

/** Looks well at rows of tiles of the frame, as they are ordered. */
function lookAtRows(
  kernel: KernelHost,
  { share, of, seed, features }: Extract<HandOrder, { kind: 'features' }>,
): void {
  if (!work) throw new Error('features were ordered before a film');
  const { film } = work;
  const { width, height } = film;
  const all = new Float32Array(features);
  for (let y = share * TILE; y < height && !work.share.stopped; y += of * TILE) {
    rest();
    const seen = kernel.features(0, y, width, Math.min(TILE, height - y), seed);
    all.set(seen, y * width * FEATURES);
    noteSeen(film, 0, y, width, seen);
  }
}

function filterBands(fits: WindowFits, { task, taken }: Extract<HandOrder, { kind: 'filter' }>): void {
  // it is asked in the midst of a band, too
  const stopped = () => {
    rest();
    return work?.share.stopped === true;
  };
  const next = () => Atomics.add(taken, 0, 1);
  for (let band = next(); band < bandsOf(task) && !stopped(); band = next())
    filterBand(task, band, fits, stopped);
}

const answer = (message: HandAnswer, moved: Transferable[] = []) => globalThis.postMessage(message, moved);

globalThis.onmessage = (event: MessageEvent<HandOrder>) => {
  obey(event.data)
    .then((done) => answer({ kind: 'done', ...done }, memoryOf(done?.branches)))
    .catch((error) => {
      answer({ kind: 'failed', why: error instanceof Error ? error.message : String(error) });
    });
};
