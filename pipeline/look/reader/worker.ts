/** A worker of the live view's page: has its own kernel and traces its share of every pass into the common film. */
import { takeScene } from '../../artefacts/film-scene.ts';
import type { BuiltShape } from '../../band/built-shape.ts';
import { type PosedTake, poseTake } from '../../scene/take-scene.ts';
import type { TraceScene } from '../../scene/trace-scene.ts';
import type { PackedTree } from '../../tracer/acceleration.ts';
import { bandsOf, filterBand } from '../../tracer/film-filter.ts';
import { type FilmState, filmState, TILE } from '../../tracer/film-state.ts';
import { FEATURES } from '../../tracer/kernel/layout.ts';
import { KernelHost } from '../../tracer/kernel-host.ts';
import { filmPlanes } from '../../tracer/matte.ts';
import { type Kernel, PassShare, scratchFor } from '../../tracer/pass-share.ts';
import { turnedScene } from '../../tracer/turned-scene.ts';
import { WindowFits } from '../../tracer/window-fits.ts';
import { decodeSolids } from '../solids-blob.ts';
import type { Composed, HandAnswer, HandOrder, SceneOrder, StillScene } from './orders.ts';

/** Decoded solids that are kept: a pair's, and those of the edit before. */
const KEPT = 4;

let kernel: KernelHost | undefined;
let fits: WindowFits | undefined;
let still: StillScene | undefined;
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
  const scene = isTurned(turn) ? turnedScene(plain, turn, middle) : plain;
  const same = lent?.light === light;
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
  };
  const { mesh: _, cuts: __, stones: ___, ...rest } = plain;
  still = rest;
  const bands = pose.composition.bands.map(({ toWorld }) => [...toWorld.elements]);
  const stage = { camera: plain.camera, bands, middle };
  return { image: kernel.image(), still: rest, planes: filmPlanes(plain), stage, unlit };
}

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
    return;
  }
  if (!kernel || !fits) throw new Error('work was ordered before the kernel was there');
  switch (order.kind) {
    case 'compose':
      return compose(kernel, order.scene);
    case 'adopt':
      kernel.adopt(order.composed.image);
      still = order.composed.still;
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
      work.share.work(work.film, noting(kernel, work), order.pass, work.scratch);
      return;
    case 'features':
      lookAtRows(kernel, order);
      return;
    case 'filter':
      filterBands(fits, order);
  }
}

/** The kernel, which notes what it says of pixels where somebody will ask for it. */
function noting(
  kernel: KernelHost,
  { film, features }: Pick<NonNullable<typeof work>, 'film' | 'features'>,
): Kernel {
  if (!features) return kernel;
  return {
    render: (x, y, w, h, from, to, seed, rgb) => kernel.render(x, y, w, h, from, to, seed, rgb),
    features: (x, y, w, h, seed) => {
      const seen = kernel.features(x, y, w, h, seed);
      for (let row = 0; row < h; row++)
        features.set(
          seen.subarray(row * w * FEATURES, (row + 1) * w * FEATURES),
          ((y + row) * film.width + x) * FEATURES,
        );
      return seen;
    },
  };
}

/** Rows of tiles of the frame, as they are ordered. */
function lookAtRows(
  kernel: KernelHost,
  { share, of, seed, features }: Extract<HandOrder, { kind: 'features' }>,
): void {
  if (!work) throw new Error('features were ordered before a film');
  const { width, height } = work.film;
  const all = new Float32Array(features);
  for (let y = share * TILE; y < height; y += of * TILE)
    all.set(kernel.features(0, y, width, Math.min(TILE, height - y), seed), y * width * FEATURES);
}

function filterBands(fits: WindowFits, { task, taken }: Extract<HandOrder, { kind: 'filter' }>): void {
  const stopped = () => work?.share.stopped === true;
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
