/**
 * Scenes on which pictures are judged for grain: crops of 192 pixels from frames of 1500, of bands, finishes, stones and
 * studios that our own configs name.
 */
import { takeLooks } from '../../pipeline/artefacts/film.ts';
import { takeScene } from '../../pipeline/artefacts/film-scene.ts';
import type { Plan } from '../../pipeline/plan/plan.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import type { TraceScene, Vec3 } from '../../pipeline/scene/trace-scene.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import type { NodeKernel } from '../../pipeline/tracer/node-tracer.ts';
import { cross, scaled, unit } from '../../pipeline/tracer/vector.ts';

/** Longer side of the pictures that crops are taken from, and side of a crop: whole tiles. */
const FRAME = 1500;
export const CROP = 192;
/** colourways a scene is traced in at most */
const COLOURWAYS = 3;

interface SceneName {
  config: string;
  shot: string;
  /** of the first lane */
  finish?: string;
  /** of the first row: the gem whose optics all its colours share */
  optics?: string;
  /** left and top edge of the crop, where it is not to be the busiest */
  crop?: readonly [number, number];
}

const LIGHTS = 'configs/contact/lights.yaml';
const METALS = 'configs/contact/metals.yaml';
const STONES = 'configs/contact/stones.yaml';
const DEMO = 'configs/demo.yaml';

export const CLEAN_SCENES: Readonly<Record<string, SceneName>> = {
  'soft-tent': { config: LIGHTS, shot: 'soft-tent-white' },
  'side-window': { config: LIGHTS, shot: 'side-window-white' },
  'edge-strips': { config: LIGHTS, shot: 'edge-strips-white' },
  'pin-lights': { config: LIGHTS, shot: 'pin-lights-gloss' },
  dusk: { config: LIGHTS, shot: 'dusk-gloss' },
  polished: { config: METALS, shot: 'close', finish: 'polished' },
  blasted: { config: METALS, shot: 'close', finish: 'sandblasted' },
  brushed: { config: METALS, shot: 'close', finish: 'brushed' },
  'black-stones': { config: STONES, shot: 'close', optics: 'diamond' },
  'coloured-stones': { config: STONES, shot: 'close', optics: 'corundum' },
  'flat-lay': { config: DEMO, shot: 'flat-lay' },
  gloss: { config: LIGHTS, shot: 'soft-tent-gloss' },
  // where light comes from metal to metal only
  bore: { config: DEMO, shot: 'three-quarter', crop: [976, 352] },
};

export interface CleanScene {
  name: string;
  /** of the whole frame */
  scene: TraceScene;
  /** left and top edge of the crop */
  x: number;
  y: number;
  /** what is nearest at each of its pixels' centres */
  classes: Uint8Array;
}

export const CLASSES = ['ground', 'metal', 'stone'] as const;
export type PixelClass = (typeof CLASSES)[number];

/** ground below an object, while crops are chosen */
const SHADED = 3;

const plans = new Map<string, Promise<{ plan: Plan }>>();

/** Loads the scene into the kernel, too. */
export async function cleanScene(name: string, host: KernelHost): Promise<CleanScene> {
  const { config, shot, finish, optics, crop } = CLEAN_SCENES[name];
  const reading = plans.get(config) ?? readPlan(config);
  plans.set(config, reading);
  const { plan } = await reading;
  const take = plan.takes.find(
    (t) =>
      t.shot.name === shot &&
      t.shapes.length === 1 &&
      (!finish || t.finishes[0][0] === finish) &&
      (!optics || t.optics[0][0] === optics),
  );
  if (!take) throw new Error(`${config} has no take for ${name}`);
  const shape = await buildShape(plan.shapes[take.shapes[0]]);
  const scale = FRAME / Math.max(take.shot.widthPx, take.shot.heightPx);
  const large = {
    ...take.shot,
    widthPx: Math.round(take.shot.widthPx * scale),
    heightPx: Math.round(take.shot.heightPx * scale),
  };
  const whole = takeScene(large, takeLooks(take), [shape]);
  const scene = { ...whole, colourways: whole.colourways.slice(0, COLOURWAYS) };
  host.load(scene);
  const { x, y } = crop ? { x: crop[0], y: crop[1] } : busiest(scene, host);
  return { name, scene, x, y, classes: classesAt(scene, host, x, y, CROP, CROP, 1) };
}

/** The kernel as tracers in Node use it, on the crop alone: the very pixels of the whole frame. */
export function cropKernel({ scene, x, y }: CleanScene, host: KernelHost): NodeKernel {
  return {
    load: () => host.load(scene),
    features: (left, top, w, h, seed) => host.features(x + left, y + top, w, h, seed),
    render: (left, top, w, h, from, to, seed, rgb) =>
      host.render(x + left, y + top, w, h, from, to, seed, rgb),
  };
}

/** What a tracer in Node is given, with `cropKernel`. */
export const cropScene = ({ scene }: CleanScene): TraceScene => ({ ...scene, width: CROP, height: CROP });

/**
 * The crop that shows most of everything: that with the largest entropy of classes, where ground counts only below an
 * object, since shadows lie there. No eye has chosen it.
 */
function busiest(scene: TraceScene, host: KernelHost): { x: number; y: number } {
  const step = 16;
  const wide = Math.floor(scene.width / step);
  const high = Math.floor(scene.height / step);
  const classes = classesAt(scene, host, 0, 0, wide, high, step);
  const shaded = classes.slice();
  for (let p = wide; p < shaded.length; p++) if (shaded[p] === 0 && shaded[p - wide] > 0) shaded[p] = SHADED;
  const side = CROP / step;
  let best = { x: 0, y: 0, entropy: -1 };
  for (let y = 0; y + side <= high; y++) {
    for (let x = 0; x + side <= wide; x++) {
      const counts = [0, 0, 0, 0];
      for (let j = y; j < y + side; j++) for (let i = x; i < x + side; i++) counts[shaded[j * wide + i]]++;
      const shares = counts
        .slice(1)
        .filter((n) => n > 0)
        .map((n) => n / (side * side));
      const entropy = -shares.reduce((sum, p) => sum + p * Math.log(p), 0);
      if (entropy > best.entropy + 1e-9) best = { x: x * step, y: y * step, entropy };
    }
  }
  return best;
}

/** Classes at the middles of `w` × `h` pixels, `step` apart, by index into CLASSES. */
function classesAt(
  scene: TraceScene,
  host: KernelHost,
  x: number,
  y: number,
  w: number,
  h: number,
  step: number,
): Uint8Array {
  const { eye, target, up, fovY } = scene.camera;
  const forward = unit([target[0] - eye[0], target[1] - eye[1], target[2] - eye[2]]);
  const right = unit(cross(forward, up));
  const half = Math.tan(fovY / 2);
  const across = scaled(right, (half * scene.width) / scene.height);
  const above = scaled(cross(right, forward), half);
  const rays = new Float32Array(w * h * 6);
  for (let p = 0; p < w * h; p++) {
    const sx = ((x + (p % w) * step + 0.5) / scene.width) * 2 - 1;
    const sy = 1 - ((y + Math.floor(p / w) * step + 0.5) / scene.height) * 2;
    const direction = forward.map((f, k) => f + sx * across[k] + sy * above[k]) as Vec3;
    rays.set([...eye, ...direction], p * 6);
  }
  const triangles = scene.mesh.indices.length / 3;
  return Uint8Array.from(host.closest(rays).primitive, (hit) =>
    hit === 0xffffffff ? 0 : hit < triangles ? 1 : 2,
  );
}
