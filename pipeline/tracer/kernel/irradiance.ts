/**
 * Irradiance of the empty studio on the ground: measured once a scene on a grid, looked up at every ground point.
 */
import {
  GRID,
  GRID_CENTRE,
  GRID_STRETCH,
  IRRADIANCE,
  LIGHT_BYTES,
  LIGHTS,
  LIGHTS_AT,
  SKY_CELLS_ACROSS,
  SKY_CELLS_AT,
  SKY_CELLS_DOWN,
  SKY_CHANCE,
  SKY_TURN,
} from './layout';
import { circle, cosine, sine } from './sampling';
import { sky } from './sky';
import { emitted, lightIndex, nearestLight } from './studio';
import { FAR } from './tree';

function stretched(g: f32): f32 {
  // inverse of x / (|x| + stretch), on (−1, 1); the outermost nodes stand for infinity and are pulled in a little
  const c = min<f32>(max<f32>(g, -0.995), 0.995);
  return (c * load<f32>(GRID_STRETCH)) / (<f32>1 - abs<f32>(c));
}

/**
 * Fills rows `from` up to `to` of the grid: rectangles by midpoint quadrature over 12 × 12 cells each (horizon clipping and hiding by other
 * rectangles included), the dome by 24 × 24 cosine-weighted strata, a picture of the sky cell by cell. The whole plane is covered by x / (|x| + stretch).
 */
export function measureGround(from: i32, to: i32): void {
  for (let j = from; j < to; j++) {
    const z = load<f32>(GRID_CENTRE + 4) + stretched((<f32>2 * <f32>j) / <f32>(GRID - 1) - <f32>1);
    for (let i = 0; i < GRID; i++) {
      const x = load<f32>(GRID_CENTRE) + stretched((<f32>2 * <f32>i) / <f32>(GRID - 1) - <f32>1);
      v128.store(IRRADIANCE + (j * GRID + i) * 16, irradianceAt(x, z));
    }
  }
}

export function irradianceAt(x: f32, z: f32): v128 {
  const CELLS = 12;
  const STRATA = 24;
  let sum = f32x4.splat(0);
  const count = <i32>load<u32>(LIGHTS);
  for (let l = 0; l < count; l++) {
    const light: usize = load<u32>(LIGHTS_AT) + l * LIGHT_BYTES;
    if (!(load<f32>(light, 44) > 0)) continue;
    const halfU = load<f32>(light, 12);
    const halfV = load<f32>(light, 28);
    const cell: f32 = (<f32>4 * halfU * halfV) / <f32>(CELLS * CELLS);
    for (let j = 0; j < CELLS; j++) {
      const b = (<f32>j + <f32>0.5) * (<f32>2 / <f32>CELLS) - <f32>1;
      for (let i = 0; i < CELLS; i++) {
        const a = (<f32>i + <f32>0.5) * (<f32>2 / <f32>CELLS) - <f32>1;
        const dx = load<f32>(light) + a * halfU * load<f32>(light, 16) + b * halfV * load<f32>(light, 32) - x;
        const dy = load<f32>(light, 4) + a * halfU * load<f32>(light, 20) + b * halfV * load<f32>(light, 36);
        const dz = load<f32>(light, 8) + a * halfU * load<f32>(light, 24) + b * halfV * load<f32>(light, 40) - z;
        const facing = -(dx * load<f32>(light, 48) + dy * load<f32>(light, 52) + dz * load<f32>(light, 56));
        if (dy <= 0 || facing <= 0) continue;
        nearestLight(x, 0, z, dx, dy, dz, <f32>0.9999);
        if (lightIndex >= 0 && lightIndex !== l) continue;
        const r2 = dx * dx + dy * dy + dz * dz;
        sum = f32x4.add(sum, f32x4.mul(emitted(l, a, b), f32x4.splat((cell * dy * facing) / (r2 * r2))));
      }
    }
  }
  if (load<f32>(SKY_CHANCE) > 0) return f32x4.add(sum, skyIrradiance(x, z));
  const share: f32 = <f32>3.14159265358979 / <f32>(STRATA * STRATA);
  for (let j = 0; j < STRATA; j++) {
    const r2 = (<f32>j + <f32>0.5) / <f32>STRATA;
    const r = sqrt<f32>(r2);
    const dy = sqrt<f32>(<f32>1 - r2);
    for (let i = 0; i < STRATA; i++) {
      circle((<f32>i + <f32>0.5) / <f32>STRATA);
      const dx = r * cosine;
      const dz = r * sine;
      nearestLight(x, 0, z, dx, dy, dz, FAR);
      if (lightIndex < 0) sum = f32x4.add(sum, f32x4.mul(sky(dx, dy, dz), f32x4.splat(share)));
    }
  }
  return sum;
}

/** A sky's irradiance is the same everywhere but for the cells that rectangles hide. */
function skyIrradiance(x: f32, z: f32): v128 {
  const cells: usize = load<u32>(SKY_CELLS_AT);
  let sum = v128.load(cells + SKY_CELLS_DOWN * SKY_CELLS_ACROSS * 16);
  if (load<u32>(LIGHTS) === 0) return sum;
  for (let j = 0; j < SKY_CELLS_DOWN; j++) {
    circle(((<f32>j + <f32>0.5) * <f32>0.25) / <f32>SKY_CELLS_DOWN);
    const s = sine;
    const dy = cosine;
    for (let i = 0; i < SKY_CELLS_ACROSS; i++) {
      circle((<f32>i + <f32>0.5) / <f32>SKY_CELLS_ACROSS - <f32>0.5 - load<f32>(SKY_TURN));
      nearestLight(x, 0, z, s * sine, dy, -s * cosine, FAR);
      if (lightIndex >= 0) sum = f32x4.sub(sum, v128.load(cells + <usize>(j * SKY_CELLS_ACROSS + i) * 16));
    }
  }
  return sum;
}

/** Irradiance of the empty studio at (x, 0, z), bilinear in the stretched grid. */
export function irradiance(x: f32, z: f32): v128 {
  const stretch = load<f32>(GRID_STRETCH);
  const cx = x - load<f32>(GRID_CENTRE);
  const cz = z - load<f32>(GRID_CENTRE + 4);
  const half: f32 = <f32>(GRID - 1) * <f32>0.5;
  const gx = (cx / (abs<f32>(cx) + stretch) + <f32>1) * half;
  const gz = (cz / (abs<f32>(cz) + stretch) + <f32>1) * half;
  const i = min<i32>(<i32>gx, GRID - 2);
  const j = min<i32>(<i32>gz, GRID - 2);
  const fx = f32x4.splat(gx - <f32>i);
  const fz = f32x4.splat(gz - <f32>j);
  const at: usize = IRRADIANCE + (j * GRID + i) * 16;
  const a = v128.load(at);
  const b = v128.load(at, 16);
  const c = v128.load(at, GRID * 16);
  const d = v128.load(at, GRID * 16 + 16);
  const near = f32x4.add(a, f32x4.mul(fx, f32x4.sub(b, a)));
  const far = f32x4.add(c, f32x4.mul(fx, f32x4.sub(d, c)));
  return f32x4.add(near, f32x4.mul(fz, f32x4.sub(far, near)));
}
