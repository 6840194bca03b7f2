/** A worker of the live view's page: has its own kernel and traces its share of every pass into the common film. */
import { takeScene } from '../../artefacts/film-scene.ts';
import type { BuiltShape } from '../../band/built-shape.ts';
import { type PosedTake, poseTake } from '../../scene/take-scene.ts';
import type { TraceScene } from '../../scene/trace-scene.ts';
import type { PackedTree } from '../../tracer/acceleration.ts';
import { noteSeen } from '../../tracer/film-error.ts';
import { bandsOf, filterBand } from '../../tracer/film-filter.ts';
import { type FilmState, filmState, TILE } from '../../tracer/film-state.ts';
import { FEATURES } from '../../tracer/kernel/layout.ts';
import { KernelHost } from '../../tracer/kernel-host.ts';
import { filmPlanes } from '../../tracer/matte.ts';
import { type Kernel, type Pass, PassShare, scratchFor } from '../../tracer/pass-share.ts';
import { turnedScene } from '../../tracer/turned-scene.ts';
import { WindowFits } from '../../tracer/window-fits.ts';
import { decodeSolids } from '../solids-blob.ts';
import type { Composed, HandAnswer, HandOrder, SceneOrder, StillScene } from './orders.ts';

/** Camera rays a pixel for the features by which a film's first pictures are filtered. */
const GLANCE = 4;

/** Decoded solids that are kept: a pair's, and those of the edit before. */
const KEPT = 4;

let kernel: KernelHost | undefined;
let fits: WindowFits | undefined;
let still: StillScene | undefined;
let held: Int32Array = new Int32Array(1);
/** about which the band turns, as the scene stands unturned */
let middle: [number, number] = [0, 0];
let work: { film: FilmState; share: PassShare; scratch: Float32Array; features?: Float32Array } | undefined;

/** of the scene that was composed last */
let lent:
  | {
      mesh: string;
      frame: string;
      studio: string;
      light: string;
      lamps: string;
      pose: PosedTake;
      tree: PackedTree;
      /** how many surfaces, colourways, metals and stones have colours */
      counts: string;
    }
  | undefined;
const shapes = new Map<string, BuiltShape>();

function shapeOf({ key, blob }: SceneOrder['solids'][number]): BuiltShape {
  const shape = shapes.get(key) ?? decodeSolids(blob);
  shapes.delete(key);
  shapes.set(key, shape);
  const oldest = shapes.keys().next().value;
  if (shapes.size > KEPT && oldest !== undefined) shapes.delete(oldest);
  return shape;
}

/** Packs a scene with as much as it shares with the one before: the same mesh has the same tree. */
function compose(kernel: KernelHost, order: SceneOrder): Composed {
  const { shot, looks, solids, sky, turn, draft } = order;
  const { view, laid, studio, ground, widthPx, heightPx, scale, aperture } = shot;
  const mesh = JSON.stringify([solids.map(({ key }) => key), view, laid, shot.turn?.angle]);
  const frame = JSON.stringify([mesh, widthPx, heightPx, scale, aperture]);
  const lit = JSON.stringify([frame, studio]);
  const light = JSON.stringify([lit, ground, turn]);
  const lamps = JSON.stringify([view, studio, ground, turn]);
  const shapes = solids.map(shapeOf);
  const pose = lent?.frame === frame ? lent.pose : poseTake(shot, shapes);
  const tree = lent?.mesh === mesh ? lent.tree : undefined;
  const { mesh: kept, lit: room } = lent?.pose ?? {};
  if (tree) pose.mesh ??= kept;
  pose.lit = lent?.studio === lit ? room : undefined;
  const plain = takeScene(shot, looks, shapes, sky, pose);
  if (!tree) middle = middleOf(plain);
  const same = lent?.light === light;
  const counts = countsOf(plain);
  const { mesh: _, cuts: __, stones: ___, ...rest } = plain;
  still = rest;
  const bands = pose.composition.bands.map(({ toWorld }) => [...toWorld.elements]);
  const stage = { camera: plain.camera, bands, middle };
  const composed = { still: rest, planes: filmPlanes(plain), stage };
  if (same && lent?.counts === counts) {
    kernel.recolour(plain);
    return { ...composed, unlit: false };
  }
  const scene = isTurned(turn) ? turnedScene(plain, turn, middle) : plain;
  const near = draft && lent?.lamps === lamps;
  const unlit = scene.ground.kind !== 'none' && !same && !near;
  // what was measured for another band only stands in for this one's
  const own = same || !near;
  lent = {
    mesh,
    frame,
    studio: lit,
    light: own ? light : '',
    lamps,
    pose: { ...pose, mesh: plain.mesh, lit: { lights: plain.lights, dome: plain.dome, sky: plain.sky } },
    tree: kernel.load(scene, { tree, ground: true }),
    counts,
  };
  return { ...composed, image: kernel.image(), unlit };
}

const countsOf = ({ surfaces, gems, colourways }: TraceScene) =>
  [surfaces.length, gems.length, colourways.length, colourways[0].metals.length].join();

const isTurned = ({ angle, rise }: SceneOrder['turn']) => angle !== 0 || rise !== 0;

/** x and z of the middle of a mesh's bounds. */
function middleOf({ mesh: { positions } }: TraceScene): [number, number] {
  const low = [Infinity, Infinity];
  const high = [-Infinity, -Infinity];
  for (let i = 0; i < positions.length; i += 3)
    for (let k = 0; k < 2; k++) {
      const v = positions[i + 2 * k];
      if (v < low[k]) low[k] = v;
      if (v > high[k]) high[k] = v;
    }
  return [(low[0] + high[0]) / 2, (low[1] + high[1]) / 2];
}

async function obey(order: HandOrder): Promise<Composed | undefined> {
  if (order.kind === 'begin') {
    kernel = await KernelHost.create(order.kernel);
    fits = await WindowFits.create(order.filter);
    held = order.held;
    return;
  }
  if (!kernel || !fits) throw new Error('work was ordered before the kernel was there');
  switch (order.kind) {
    case 'compose':
      return compose(kernel, order.scene);
    case 'adopt':
      ({ still } = order.composed);
      if (order.composed.image) kernel.adopt(order.composed.image);
      else kernel.recolour(still);
      return;
    case 'measure':
      kernel.measureGround(order.share, order.of, new Float32Array(order.grid));
      return;
    case 'light':
      kernel.takeGround(new Float32Array(order.grid));
      return;
    case 'turn': {
      if (!still) throw new Error('a turn was ordered before a scene');
      const { turn, width, height } = order;
      kernel.turn(turnedScene({ ...still, width, height } as TraceScene, turn, kernel.middle), turn.angle);
      // what is laid over the scene is not what it was composed with
      if (lent) Object.assign(lent, { light: '', lamps: '' });
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

const answer = (message: HandAnswer) => globalThis.postMessage(message);

globalThis.onmessage = (event: MessageEvent<HandOrder>) => {
  obey(event.data).then(
    (composed) => answer({ kind: 'done', composed }),
    (error) => answer({ kind: 'failed', why: error instanceof Error ? error.message : String(error) }),
  );
};
