import sharp from 'sharp';
import { beforeAll, describe, expect, it } from 'vitest';
import type { BuiltShape } from '../../pipeline/band/built-shape.ts';
import { finishSurface, subjectColours } from '../../pipeline/facts/looks.ts';
import { developFilm, PAPER_WHITE } from '../../pipeline/picture/develop.ts';
import { encodePictures } from '../../pipeline/picture/encode.ts';
import { VIEWS } from '../../pipeline/plan/shot-schema.ts';
import type { GroundPlan } from '../../pipeline/plan/studio.ts';
import { WHITE_LEVEL } from '../../pipeline/scene/ground.ts';
import { GROUND_ALBEDO } from '../../pipeline/scene/studio.ts';
import { buildTakeScene } from '../../pipeline/scene/take-scene.ts';
import type { RectLight, TraceScene, Vec3 } from '../../pipeline/scene/trace-scene.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { config, planOf } from '../plan/workspace.ts';
import { cross, film, kernel, minus, unit } from '../tracer/kernel-fixture.ts';

const STUDIOS = ['soft-tent', 'side-window', 'edge-strips', 'pin-lights', 'dusk'];
const SIDE = 72;
const PLAIN = config({
  template: 'template: plain-court',
  origins: 'origins: {}',
  grid: 'grid: { size: [ISO 54], metal: [yellow-18] }',
});

let host: KernelHost;
let shape: BuiltShape;
beforeAll(async () => {
  host = await kernel();
  const { plan } = await planOf(PLAIN);
  shape = await buildShape(Object.values(plan.shapes)[0]);
});

/** A plain polished band of 18 carat yellow gold. */
async function sceneOf(lights: string, view: string, ground: GroundPlan, side = SIDE): Promise<TraceScene> {
  const shots = `shots: [{ view: ${view === 'pair' ? 'three-quarter' : view}, lights: ${lights} }]`;
  const { plan } = await planOf(PLAIN.replace(/^shots:.*$/m, shots));
  const polished = finishSurface('polished');
  const shot = {
    ...plan.shots[0],
    view: view as (typeof VIEWS)[number],
    ground,
    widthPx: side,
    heightPx: side,
  };
  const subject = { shape, finishes: [polished], bore: polished, gems: [] };
  const colours = subjectColours({ alloys: ['yellow-18'], finishes: ['polished'], stones: [] });
  const subjects = view === 'pair' ? [subject, subject] : [subject];
  return buildTakeScene(shot, subjects, [subjects.map(() => colours)]);
}

/** Unit directions of the rays through a grid of the frame's places, corners included. */
function cameraRays({ camera }: TraceScene, places: readonly number[]): { from: Vec3; along: Vec3 }[] {
  const forward = unit(minus(camera.target, camera.eye));
  const right = unit(cross(forward, camera.up));
  const up = cross(right, forward);
  const half = Math.tan(camera.fovY / 2);
  return places.flatMap((y) =>
    places.map((x) => ({
      from: camera.eye,
      along: unit([0, 1, 2].map((k) => forward[k] + half * (x * right[k] - y * up[k])) as Vec3),
    })),
  );
}

/** Shares of the frame's half, from −1 to 1, at the middles of `n` pixels. */
const middles = (n: number) => Array.from({ length: n }, (_, i) => (2 * i + 1) / n - 1);

/** CIELAB lightness of the metal's pixels, sorted: L* = 116 ∛Y − 16, or 903.3 Y when dark (CIE 15). */
function lightnesses(scene: TraceScene): number[] {
  const data = film(host, scene, 16)[0];
  const shown = developFilm({ width: SIDE, height: SIDE, data }, WHITE_LEVEL).data;
  const rays = cameraRays(scene, middles(SIDE)).flatMap(({ from, along }) => [...from, ...along]);
  const { t } = host.closest(Float32Array.from(rays));
  const found: number[] = [];
  for (let i = 0; i < SIDE * SIDE; i++) {
    if (!Number.isFinite(t[i])) continue;
    const y = (0.2126 * shown[3 * i] + 0.7152 * shown[3 * i + 1] + 0.0722 * shown[3 * i + 2]) / PAPER_WHITE;
    found.push(y > 0.008856 ? 116 * Math.cbrt(y) - 16 : 903.3 * y);
  }
  return found.sort((a, b) => a - b);
}

const at = (sorted: number[], share: number) => sorted[Math.floor(share * (sorted.length - 1))];

describe('polished yellow gold', () => {
  // its alloy has L* 88 (colour class 3N): the bright gradient comes near it; the dark edge is well below a mid grey
  it.each([
    ['soft-tent', 84, 36],
    ['side-window', 84, 36],
    ['edge-strips', 84, 36],
    ['pin-lights', 80, 36],
    ['dusk', 60, 30],
  ])('has one bright gradient and one dark edge in %s', async (studio, bright, dark) => {
    const found = lightnesses(await sceneOf(studio, 'three-quarter', { kind: 'white' }));
    expect(at(found, 0.88)).toBeGreaterThan(bright);
    expect(at(found, 0.08)).toBeLessThan(dark);
    // no flat grey: no ten steps of L* between dark and bright hold more than a third of the metal
    for (let low = 35; low <= 60; low += 5)
      expect(found.filter((l) => l >= low && l < low + 10).length / found.length).toBeLessThan(0.34);
  });
});

describe('white ground', () => {
  it.each(['three-quarter', 'flat-lay', 'pair'])('is 255 in all channels at the edge of %s', async (view) => {
    const scene = await sceneOf('soft-tent', view, { kind: 'white' });
    const data = film(host, scene, 4)[0];
    const [png] = await encodePictures(
      { width: SIDE, height: SIDE, data },
      [{ format: 'png', widths: [SIDE], quality: 100 }],
      { white: WHITE_LEVEL, thumbnail: false },
    );
    const { data: bytes, info } = await sharp(png.data).raw().toBuffer({ resolveWithObject: true });
    const edge: number[] = [];
    let shaded = 0;
    for (let i = 0; i < SIDE * SIDE; i++) {
      const [x, y] = [i % SIDE, Math.floor(i / SIDE)];
      const pixel = [...bytes.subarray(i * info.channels, i * info.channels + 3)];
      if (x === 0 || y === 0 || x === SIDE - 1 || y === SIDE - 1) edge.push(...pixel);
      else if (Math.min(...pixel) < 235) shaded++;
    }
    expect(Math.min(...edge)).toBe(255);
    // and the band with its contact shadow is still there
    expect(shaded).toBeGreaterThan(200);
  });

  it('keeps all of its shade but near the edge', async () => {
    const scene = await sceneOf('soft-tent', 'three-quarter', { kind: 'white' });
    const whole = film(host, { ...scene, ground: { ...scene.ground, rim: 0 } }, 4)[0];
    const faded = film(host, scene, 4)[0];
    const rim = scene.ground.rim ?? 0;
    const out = (x: number, y: number) =>
      [x, y].reduce((sum, at) => sum + ((2 * at) / (SIDE - 1) - 1) ** 4, 0) ** 0.25;
    let [kept, changed] = [0, 0];
    for (let y = 0; y < SIDE; y++)
      for (let x = 0; x < SIDE; x++) {
        const at = 3 * (y * SIDE + x);
        if (out(x, y) > 1 - rim - 1e-3) continue;
        for (let k = 0; k < 3; k++) if (faded[at + k] !== whole[at + k]) changed++;
        kept++;
      }
    expect(changed).toBe(0);
    expect(kept).toBeGreaterThan(0.4 * SIDE * SIDE);
  });

  it('shines as it is metered under the band, by the kernel’s own measure', async () => {
    for (const studio of STUDIOS) {
      const scene = await sceneOf(studio, 'three-quarter', { kind: 'white' });
      host.load(scene);
      const { at: out, values } = host.scratch(4);
      host.kernel.probeIrradiance(0, 0, out);
      const luminance = 0.2126 * values[0] + 0.7152 * values[1] + 0.0722 * values[2];
      const { plan } = await planOf(
        PLAIN.replace(/^shots:.*$/m, `shots: [{ view: front, lights: ${studio} }]`),
      );
      const shown = ((GROUND_ALBEDO / Math.PI) * luminance) / plan.shots[0].studio.groundRadiance;
      expect(shown, studio).toBeGreaterThan(0.97);
      // its 12 × 12 cells a panel are coarser than a hard panel's fade
      expect(shown, studio).toBeLessThan(1.05);
    }
  });
});

describe('glossy ground', () => {
  /** Place of a ray on a rectangle in [−1, 1]², where it meets the side that shines. */
  function meets(light: RectLight, from: Vec3, along: Vec3): [number, number] | undefined {
    const n = cross(light.u, light.v);
    const facing = along.reduce((s, d, k) => s + d * n[k], 0);
    if (facing >= 0) return undefined;
    const t = light.centre.reduce((s, c, k) => s + (c - from[k]) * n[k], 0) / facing;
    const p = from.map((o, k) => o + t * along[k] - light.centre[k]);
    const on = (e: Vec3) => p.reduce((s, c, k) => s + c * e[k], 0) / e.reduce((s, c) => s + c * c, 0);
    const [a, b] = [on(light.u), on(light.v)];
    return t > 0 && Math.abs(a) <= 1 && Math.abs(b) <= 1 ? [a, b] : undefined;
  }

  // a hard-edged lamp there shows as a white square beside the band
  it.each(STUDIOS)('mirrors no hard-edged light of %s into any shot', async (studio) => {
    const mirrored: string[] = [];
    for (const view of VIEWS) {
      const scene = await sceneOf(studio, view, { kind: 'gloss', colour: [0.02, 0.02, 0.02] });
      for (const { from, along } of cameraRays(scene, middles(24))) {
        if (along[1] >= 0) continue;
        const t = -from[1] / along[1];
        const ground: Vec3 = [from[0] + t * along[0], 0, from[2] + t * along[2]];
        for (const light of scene.lights) {
          if (Math.max(...light.radiance) === 0 || light.falloff >= 0.5) continue;
          if (meets(light, ground, [along[0], -along[1], along[2]])) mirrored.push(view);
        }
      }
    }
    expect(mirrored).toEqual([]);
  });
});
