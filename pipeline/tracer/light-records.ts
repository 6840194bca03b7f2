import type { RectLight, TraceScene, Vec3 } from '../scene/trace-scene.ts';
import * as at from './kernel/layout.ts';
import type { MemoryView } from './kernel-memory.ts';
import { cross, dot, scaled } from './vector.ts';

/** least chance of an emitting light to be picked, in shares of an equal split */
const LEAST_CHANCE = 0.05;

/** Blocks of four for intersection and one record a light for sampling. */
export function layLights(
  view: MemoryView,
  scene: TraceScene,
  bound: number[],
  blocksAt: number,
  lightsAt: number,
  blocks: number,
): void {
  const { lights } = scene;
  const chances = lightChances(lights, bound);
  let upTo = 0;
  lights.forEach((light, i) => {
    const lu = Math.hypot(...light.u);
    const lv = Math.hypot(...light.v);
    const u = scaled(light.u, 1 / lu);
    const v = scaled(light.v, 1 / lv);
    const n = cross(u, v);
    const c = light.centre;
    const lane = blocksAt + (i >> 2) * at.LIGHT_BLOCK_BYTES + (i & 3) * 4;
    const pu = scaled(u, 1 / lu);
    const pv = scaled(v, 1 / lv);
    [...n, dot(n, c), ...pu, dot(pu, c), ...pv, dot(pv, c)].forEach((x, k) => {
      view.floats(lane + 16 * k, x);
    });
    upTo += chances[i];
    const record = lightsAt + i * at.LIGHT_BYTES;
    view.floats(record, ...c, lu, ...u, lu > 0 ? lv : 0, ...v, chances[i], ...n);
    view.floats(record + 60, light.falloff > 0 ? 1 / light.falloff : 0, ...light.radiance, upTo);
  });
  // empty lanes: normal 0 makes the distance NaN or infinite, never a hit
  for (let i = lights.length; i < blocks * 4; i++) {
    const lane = blocksAt + (i >> 2) * at.LIGHT_BLOCK_BYTES + (i & 3) * 4;
    for (let k = 0; k < 12; k++) view.floats(lane + 16 * k, 0);
  }
}

/** In proportion to the irradiance each would give a surface facing it at the scene's centre, none below a least share. */
function lightChances(lights: RectLight[], [x, y, z]: number[]): number[] {
  const power = lights.map((light) => {
    const strength = (light.radiance[0] + light.radiance[1] + light.radiance[2]) / 3;
    if (!(strength > 0)) return 0;
    const to: Vec3 = [light.centre[0] - x, light.centre[1] - y, light.centre[2] - z];
    const n = cross(light.u, light.v);
    const distance = Math.max(Math.hypot(...to), 1e-3);
    const area = 4 * Math.hypot(...n) * (1 - light.falloff / 2) ** 2;
    const facing = Math.max(-dot(n, to) / (Math.hypot(...n) * distance), 0.05);
    return (strength * area * facing) / (distance * distance + area / Math.PI);
  });
  const lit = power.filter((p) => p > 0).length;
  const total = power.reduce((a, b) => a + b, 0);
  const shares = power.map((p) => (p > 0 ? Math.max(p / total, LEAST_CHANCE / lit) : 0));
  const sum = shares.reduce((a, b) => a + b, 0);
  return shares.map((s) => (sum > 0 ? s / sum : 0));
}

/** mm over which the irradiance grid is about even: half the mean distance of the lights */
export function gridStretch(lights: RectLight[], [x, y, z]: number[]): number {
  const lit = lights.filter((l) => Math.max(...l.radiance) > 0);
  if (lit.length === 0) return 100;
  const far = lit.map((l) => Math.hypot(l.centre[0] - x, l.centre[1] - y, l.centre[2] - z));
  return Math.max(10, far.reduce((a, b) => a + b, 0) / far.length / 2);
}
