import type { Sky, TraceScene } from '../scene/trace-scene.ts';
import * as at from './kernel/layout.ts';
import type { MemoryPlan, MemoryView } from './kernel-memory.ts';

/** Share of light samples that go to a pictured sky when there are panels too. */
const BESIDE_PANELS = 0.5;

/** Chance that a light sample goes to the sky: 0 for a dome, which is so even that chance directions serve it. */
export function skyChance({ sky, lights }: Pick<TraceScene, 'sky' | 'lights'>): number {
  if (!sky?.texels.some((v) => v > 0)) return 0;
  return lights.some((l) => Math.max(...l.radiance) > 0) ? BESIDE_PANELS : 1;
}

/** Takes room for a pictured sky; nothing for a dome. */
export function planSky(scene: TraceScene, plan: MemoryPlan): SkyPlaces | undefined {
  const { sky } = scene;
  const chance = skyChance(scene);
  if (!sky || chance === 0) return undefined;
  if (sky.texels.length !== sky.width * sky.height * 3 || sky.width < 2 || sky.height < 2)
    throw new RangeError(
      `trace scene: a sky of ${sky.width} × ${sky.height} with ${sky.texels.length} values`,
    );
  return {
    chance,
    texels: plan.take(sky.width * sky.height * 16),
    rows: plan.take((sky.height + 1) * 4),
    columns: plan.take((sky.width + 1) * sky.height * 4),
    cells: plan.take((at.SKY_CELLS_DOWN * at.SKY_CELLS_ACROSS + 1) * 16),
  };
}

export interface SkyPlaces {
  chance: number;
  texels: number;
  rows: number;
  columns: number;
  cells: number;
}

export function laySky(view: MemoryView, sky: Sky, places: SkyPlaces): void {
  const { width, height, texels, turn } = sky;
  view.words(at.SKY_WIDTH, width, height, places.texels, places.rows, places.columns);
  view.floats(at.SKY_CHANCE, places.chance, turn);
  view.words(at.SKY_CELLS_AT, places.cells);
  const wide = new Float32Array(width * height * 4);
  for (let i = 0; i < width * height; i++) wide.set(texels.subarray(3 * i, 3 * i + 3), 4 * i);
  view.array(places.texels, wide);
  const { rows, columns } = cumulative(sky);
  view.array(places.rows, rows);
  view.array(places.columns, columns);
  view.array(places.cells, groundCells(sky));
}

/** Brightness by which a texel is picked: its own and its neighbours', since radiance is linear between centres. */
function weights({ width, height, texels }: Sky): Float64Array {
  const bright = Float64Array.from({ length: width * height }, (_, i) =>
    Math.max(texels[3 * i], texels[3 * i + 1], texels[3 * i + 2]),
  );
  const out = new Float64Array(width * height);
  for (let j = 0; j < height; j++)
    for (let i = 0; i < width; i++) {
      let sum = 0;
      for (let b = -1; b <= 1; b++)
        for (let a = -1; a <= 1; a++) {
          const row = Math.min(Math.max(j + b, 0), height - 1);
          const column = (i + a + width) % width;
          sum += bright[row * width + column] * (2 - Math.abs(a)) * (2 - Math.abs(b));
        }
      out[j * width + i] = sum / 16;
    }
  return out;
}

/** Cumulative shares of light over rows, and in each row over its columns; both from 0 to 1. */
function cumulative(sky: Sky): { rows: Float32Array; columns: Float32Array } {
  const { width, height } = sky;
  const weight = weights(sky);
  const rows = new Float64Array(height + 1);
  const columns = new Float32Array((width + 1) * height);
  for (let j = 0; j < height; j++) {
    const steps = new Float64Array(width + 1);
    for (let i = 0; i < width; i++) steps[i + 1] = steps[i] + weight[j * width + i];
    const total = steps[width];
    for (let i = 0; i <= width; i++) columns[j * (width + 1) + i] = total > 0 ? steps[i] / total : i / width;
    rows[j + 1] = rows[j] + total * Math.sin((Math.PI * (j + 0.5)) / height);
  }
  return { rows: Float32Array.from(rows, (v) => v / rows[height]), columns };
}

/** What each cell of the upper half gives flat ground: ∫ L cos θ dω over its texels; then the sum of all. */
function groundCells({ width, height, texels }: Sky): Float32Array {
  const count = at.SKY_CELLS_DOWN * at.SKY_CELLS_ACROSS;
  const cells = new Float64Array((count + 1) * 4);
  for (let j = 0; j < height; j++) {
    // exact over the row: ∫ cos θ sin θ dθ, above the horizon only
    const top = Math.min((Math.PI * j) / height, Math.PI / 2);
    const bottom = Math.min((Math.PI * (j + 1)) / height, Math.PI / 2);
    const band = ((Math.sin(bottom) ** 2 - Math.sin(top) ** 2) / 2) * ((2 * Math.PI) / width);
    if (band <= 0) break;
    const middle = (top + bottom) / 2;
    const down = Math.min(at.SKY_CELLS_DOWN - 1, Math.floor((middle / (Math.PI / 2)) * at.SKY_CELLS_DOWN));
    for (let i = 0; i < width; i++) {
      const across = Math.floor(((i + 0.5) / width) * at.SKY_CELLS_ACROSS);
      for (let k = 0; k < 3; k++) {
        const e = texels[3 * (j * width + i) + k] * band;
        cells[4 * (down * at.SKY_CELLS_ACROSS + across) + k] += e;
        cells[4 * count + k] += e;
      }
    }
  }
  return Float32Array.from(cells);
}
