/** Packs the scenes of a picture, each with as much as it shares with the one before. */
import { takeScene } from '../../artefacts/film-scene.ts';
import type { BuiltShape } from '../../band/built-shape.ts';
import { type PosedTake, poseTake } from '../../scene/take-scene.ts';
import type { TraceScene } from '../../scene/trace-scene.ts';
import {
  type Branch,
  branchBytes,
  joinTree,
  type PackedTree,
  startTree,
  type TreePlace,
  type TreeStart,
} from '../../tracer/acceleration.ts';
import type { KernelHost, KernelImage } from '../../tracer/kernel-host.ts';
import { filmPlanes } from '../../tracer/matte.ts';
import { treeOf } from '../../tracer/scene-memory.ts';
import { turnedScene } from '../../tracer/turned-scene.ts';
import { decodeSolids } from '../solids-blob.ts';
import type { Composed, ComposeOrder, SceneOrder, TreeGrowth } from './orders.ts';
import { SharedRoom } from './shared-room.ts';

/** Decoded solids that are kept: a pair's, and those of the edit before. */
const KEPT = 4;

/** The scene that was composed last. */
interface Lent {
  keys: SceneKeys;
  /** unturned */
  pose: PosedTake;
  tree: PackedTree;
  /** the light on the ground is this scene's own, as `make` measures it */
  lit: boolean;
  slots: string;
}

/** A scene that waits for its tree. */
interface Bare {
  start: TreeStart;
  place: TreePlace;
  pack(tree: PackedTree): Composed;
}

export class Composer {
  private readonly kernel: KernelHost;
  private lent: Lent | undefined;
  private bare: Bare | undefined;
  private readonly shapes = new Map<string, BuiltShape>();
  /** about which the band turns, as the scene stands unturned */
  private middle: [number, number] = [0, 0];
  private readonly room = new SharedRoom();
  /** memory of the image before: all have taken it over when another is asked for */
  private bytes: SharedArrayBuffer | undefined;

  constructor(kernel: KernelHost) {
    this.kernel = kernel;
  }

  /** The scene, or what all must grow its tree of before `join` packs it. */
  compose({ scene: order, afresh }: ComposeOrder): Composed | TreeGrowth {
    const { lent, kernel } = this;
    const { shot, looks, sky, turn, draft } = order;
    const keys = sceneKeys(order);
    const same = (key: keyof SceneKeys) => lent?.keys[key] === keys[key];
    const shapes = order.solids.map((one) => this.shapeOf(one));
    const pose = this.posed(order, shapes, same);
    const plain = takeScene(shot, looks, shapes, sky, pose);
    if (!same('mesh')) this.middle = middleOf(plain);
    const told = this.told(plain, pose);
    const slots = slotsOf(plain);
    const lit = same('light') && lent?.lit === true;
    if (lit && lent.slots === slots && !afresh) {
      kernel.recolour(plain);
      return { ...told, unlit: false };
    }
    const scene = isTurned(turn) ? turnedScene(plain, turn, this.middle) : plain;
    const dark = scene.ground.kind !== 'none' && !lit;
    // what was measured for another band stands in for this one's
    const near = draft && same('lamps');
    const { mesh, lights, dome } = plain;
    const room = { lights, dome, sky: plain.sky };
    const pack = (tree: PackedTree) => {
      kernel.load(scene, { tree, ground: true });
      this.lent = { keys, pose: { ...pose, mesh, lit: room }, tree, lit: !dark, slots };
      return { ...told, image: this.image(), unlit: dark && !near };
    };
    return lent && same('mesh') ? pack(lent.tree) : this.growth(scene, pack);
  }

  /** Packs the scene with the tree of which all have grown branches. */
  join(branches: readonly Branch[]): Composed {
    if (!this.bare) throw new Error('branches of a tree came without a scene that waits for it');
    const { start, place, pack } = this.bare;
    const spare = this.lent?.tree.bytes.buffer;
    this.bare = undefined;
    this.lent = undefined;
    return pack(joinTree(start, branches, place, spare as ArrayBuffer));
  }

  private growth(scene: TraceScene, pack: Bare['pack']): TreeGrowth {
    const { room } = this;
    const { input, place } = treeOf(scene);
    const positions = room.floats('positions', input.positions.length);
    positions.set(input.positions);
    const indices = room.words('indices', input.indices.length);
    indices.set(input.indices);
    const start = startTree({ ...input, positions, indices }, room);
    this.bare = { start, place, pack };
    const rooms = start.children.map(
      (range, child) => room.words(`branch ${child}`, branchBytes(range) / 4).buffer,
    );
    return { start, place, rooms };
  }

  /** The light on the ground was laid over the scene. @param exact as `make` measures it */
  light(exact: boolean): void {
    if (this.lent) this.lent.lit = exact;
  }

  /** A turn was laid over the scene: it is not what it was composed with. */
  turn(): void {
    if (this.lent) Object.assign(this.lent.keys, { light: '', lamps: '' });
  }

  private posed(
    { shot }: SceneOrder,
    shapes: readonly BuiltShape[],
    same: (key: keyof SceneKeys) => boolean,
  ): PosedTake {
    const before = this.lent?.pose;
    return {
      ...(before && same('frame') ? before : poseTake(shot, shapes)),
      mesh: same('mesh') ? before?.mesh : undefined,
      faces: same('bands') ? before?.mesh : undefined,
      lit: same('studio') ? before?.lit : undefined,
    };
  }

  /** What the page and the other workers are told of a scene. */
  private told(plain: TraceScene, { composition }: PosedTake): Pick<Composed, 'still' | 'planes' | 'stage'> {
    const { mesh: _, cuts: __, stones: ___, ...still } = plain;
    const bands = composition.bands.map(({ toWorld }) => [...toWorld.elements]);
    return { still, planes: filmPlanes(plain), stage: { camera: plain.camera, bands, middle: this.middle } };
  }

  private image(): KernelImage {
    const image = this.kernel.image(this.bytes);
    this.bytes = image.bytes;
    return image;
  }

  private shapeOf({ key, blob }: SceneOrder['solids'][number]): BuiltShape {
    const { shapes } = this;
    const shape = shapes.get(key) ?? decodeSolids(blob);
    shapes.delete(key);
    shapes.set(key, shape);
    const oldest = shapes.keys().next().value;
    if (shapes.size > KEPT && oldest !== undefined) shapes.delete(oldest);
    return shape;
  }
}

type SceneKeys = ReturnType<typeof sceneKeys>;

/** Texts by which scenes share their bands, their pose, the frame, what lights them, the light on the ground, or its lamps. */
function sceneKeys({ shot, solids, looks, turn }: SceneOrder) {
  const { view, laid, studio, ground, widthPx, heightPx, scale, aperture } = shot;
  // layers take two surfaces, by which triangles are numbered
  const layered = looks.matters?.map((lanes) => lanes.map((matter) => matter !== null && 'layers' in matter));
  const bands = JSON.stringify([solids.map(({ key }) => key), layered]);
  const mesh = JSON.stringify([bands, view, laid, shot.turn?.angle]);
  const frame = JSON.stringify([mesh, widthPx, heightPx, scale, aperture]);
  const lit = JSON.stringify([frame, studio]);
  const light = JSON.stringify([lit, ground, turn]);
  const lamps = JSON.stringify([view, studio, ground, turn]);
  return { bands, mesh, frame, studio: lit, light, lamps };
}

/** How many surfaces, stones, colourways and metals have colours: over as many others can be laid. */
const slotsOf = ({ surfaces, gems, colourways }: TraceScene) =>
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
