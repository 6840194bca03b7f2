/**
 * Irradiance of the empty studio on the ground: measured once a scene on a grid, looked up at every ground point.
 */
import {
  GRID,
  GRID_CENTRE,
  GRID_STRETCH,
  IRRADIANCE,
  LIGHT_BLOCK_BYTES,
  LIGHT_BLOCKS_AT,
  LIGHT_BYTES,
  LIGHTS,
  LIGHTS_AT,
  SCRATCH,
  SKY_CELLS_ACROSS,
  SKY_CELLS_AT,
  SKY_CELLS_DOWN,
  SKY_CHANCE,
  SKY_TURN,
} from './layout';
import { circle, cosine, sine } from './sampling';
import { sky } from './sky';
import { emitted } from './studio';
import { FAR } from './tree';

function stretched(g: f32): f32 {
  // inverse of x / (|x| + stretch), on (−1, 1); the outermost nodes stand for infinity and are pulled in a little
  const c = min<f32>(max<f32>(g, -0.995), 0.995);
  return (c * load<f32>(GRID_STRETCH)) / (<f32>1 - abs<f32>(c));
}

/** Fills rows `from` up to `to` of the grid. The whole plane is covered by x / (|x| + stretch). */
export function measureGround(from: i32, to: i32): void {
  for (let j = from; j < to; j++) {
    const z = load<f32>(GRID_CENTRE + 4) + node(j);
    for (let i = 0; i < GRID; i += 4) {
      const x = f32x4(node(i), node(i + 1), node(i + 2), node(i + 3));
      measureFour(f32x4.add(f32x4.splat(load<f32>(GRID_CENTRE)), x), z, IRRADIANCE + (j * GRID + i) * 16);
    }
  }
}

/** mm from the grid's centre to its `i`th nodes. */
function node(i: i32): f32 {
  return stretched((<f32>2 * <f32>i) / <f32>(GRID - 1) - <f32>1);
}

/** The same at four places of one z, for a host that wants fewer nodes. */
export function measurePlaces(x0: f32, x1: f32, x2: f32, x3: f32, z: f32, out: usize): void {
  measureFour(f32x4(x0, x1, x2, x3), z, out);
}

/**
 * Irradiance at the four places (x, 0, z), a vec4 r g b _ of each: rectangles by midpoint quadrature over 12 × 12 cells each (horizon clipping
 * and hiding by other rectangles included), the dome by 24 × 24 cosine-weighted strata, a picture of the sky cell by cell.
 */
export function measureFour(x: v128, z: f32, out: usize): void {
  for (let k: usize = 0; k < 64; k += 16) v128.store(out + k, f32x4.splat(0));
  const count = <i32>load<u32>(LIGHTS);
  for (let l = 0; l < count; l++) {
    if (load<f32>(load<u32>(LIGHTS_AT) + l * LIGHT_BYTES, 44) > 0) addLight(l, x, z, out);
  }
  if (load<f32>(SKY_CHANCE) > 0) addSky(x, z, out);
  else addDome(x, z, out);
}

/** Adds light to each of the four sums at `out`, as much as `shares` say. */
// @ts-ignore: decorator
@inline
function addLightOf(light: v128, shares: v128, out: usize): void {
  v128.store(out, f32x4.add(v128.load(out), f32x4.mul(light, v128.shuffle<f32>(shares, shares, 0, 0, 0, 0))));
  v128.store(out, f32x4.add(v128.load(out, 16), f32x4.mul(light, v128.shuffle<f32>(shares, shares, 1, 1, 1, 1))), 16);
  v128.store(out, f32x4.add(v128.load(out, 32), f32x4.mul(light, v128.shuffle<f32>(shares, shares, 2, 2, 2, 2))), 32);
  v128.store(out, f32x4.add(v128.load(out, 48), f32x4.mul(light, v128.shuffle<f32>(shares, shares, 3, 3, 3, 3))), 48);
}

function addLight(l: i32, x: v128, z: f32, out: usize): void {
  const CELLS = 12;
  const light: usize = load<u32>(LIGHTS_AT) + l * LIGHT_BYTES;
  const halfU = load<f32>(light, 12);
  const halfV = load<f32>(light, 28);
  const cell = f32x4.splat((<f32>4 * halfU * halfV) / <f32>(CELLS * CELLS));
  const none = f32x4.splat(0);
  for (let j = 0; j < CELLS; j++) {
    const b = (<f32>j + <f32>0.5) * (<f32>2 / <f32>CELLS) - <f32>1;
    for (let i = 0; i < CELLS; i++) {
      const a = (<f32>i + <f32>0.5) * (<f32>2 / <f32>CELLS) - <f32>1;
      const dy = load<f32>(light, 4) + a * halfU * load<f32>(light, 20) + b * halfV * load<f32>(light, 36);
      if (dy <= 0) continue;
      const atX = load<f32>(light) + a * halfU * load<f32>(light, 16) + b * halfV * load<f32>(light, 32);
      const dx = f32x4.sub(f32x4.splat(atX), x);
      const dz = load<f32>(light, 8) + a * halfU * load<f32>(light, 24) + b * halfV * load<f32>(light, 40) - z;
      const alongX = f32x4.mul(dx, f32x4.splat(load<f32>(light, 48)));
      const alongXY = f32x4.add(alongX, f32x4.splat(dy * load<f32>(light, 52)));
      const facing = f32x4.neg(f32x4.add(alongXY, f32x4.splat(dz * load<f32>(light, 56))));
      const lit = f32x4.gt(facing, none);
      if (!v128.any_true(lit)) continue;
      const seen = v128.andnot(lit, hidden(x, z, dx, dy, dz, <f32>0.9999, l));
      if (!v128.any_true(seen)) continue;
      const r2 = f32x4.add(f32x4.add(f32x4.mul(dx, dx), f32x4.splat(dy * dy)), f32x4.splat(dz * dz));
      const share = f32x4.div(f32x4.mul(f32x4.mul(cell, f32x4.splat(dy)), facing), f32x4.mul(r2, r2));
      addLightOf(emitted(l, a, b), v128.and(share, seen), out);
    }
  }
}

function addDome(x: v128, z: f32, out: usize): void {
  const STRATA = 24;
  const share = f32x4.splat(<f32>3.14159265358979 / <f32>(STRATA * STRATA));
  for (let j = 0; j < STRATA; j++) {
    const r2 = (<f32>j + <f32>0.5) / <f32>STRATA;
    const r = sqrt<f32>(r2);
    const dy = sqrt<f32>(<f32>1 - r2);
    for (let i = 0; i < STRATA; i++) {
      circle((<f32>i + <f32>0.5) / <f32>STRATA);
      const dx = r * cosine;
      const dz = r * sine;
      const open = v128.not(hidden(x, z, f32x4.splat(dx), dy, dz, FAR, -1));
      if (v128.any_true(open)) addLightOf(sky(dx, dy, dz), v128.and(share, open), out);
    }
  }
}

/** A sky's irradiance is the same everywhere but for the cells that rectangles hide. */
function addSky(x: v128, z: f32, out: usize): void {
  const cells: usize = load<u32>(SKY_CELLS_AT);
  const whole = v128.load(cells + SKY_CELLS_DOWN * SKY_CELLS_ACROSS * 16);
  const sums: usize = SCRATCH;
  for (let k: usize = 0; k < 64; k += 16) v128.store(sums + k, whole);
  if (load<u32>(LIGHTS) > 0) takeHiddenSky(x, z, cells, sums);
  for (let k: usize = 0; k < 64; k += 16) v128.store(out + k, f32x4.add(v128.load(out + k), v128.load(sums + k)));
}

function takeHiddenSky(x: v128, z: f32, cells: usize, out: usize): void {
  const less = f32x4.splat(-1);
  for (let j = 0; j < SKY_CELLS_DOWN; j++) {
    circle(((<f32>j + <f32>0.5) * <f32>0.25) / <f32>SKY_CELLS_DOWN);
    const s = sine;
    const dy = cosine;
    for (let i = 0; i < SKY_CELLS_ACROSS; i++) {
      circle((<f32>i + <f32>0.5) / <f32>SKY_CELLS_ACROSS - <f32>0.5 - load<f32>(SKY_TURN));
      const shut = hidden(x, z, f32x4.splat(s * sine), dy, -s * cosine, FAR, -1);
      if (!v128.any_true(shut)) continue;
      addLightOf(v128.load(cells + <usize>(j * SKY_CELLS_ACROSS + i) * 16), v128.and(less, shut), out);
    }
  }
}

/** Where a rectangle other than `but` stands within `tmax` of the places (x, 0, z), looking along (dx, dy, dz). */
function hidden(x: v128, z: f32, dx: v128, dy: f32, dz: f32, tmax: f32, but: i32): v128 {
  const one = f32x4.splat(1);
  const vdy = f32x4.splat(dy);
  const vdz = f32x4.splat(dz);
  const vz = f32x4.splat(z);
  let shut = f32x4.splat(0);
  const count = <i32>load<u32>(LIGHTS);
  for (let l = 0; l < count; l++) {
    if (l === but) continue;
    const at: usize = load<u32>(LIGHT_BLOCKS_AT) + (l >> 2) * LIGHT_BLOCK_BYTES + ((l & 3) << 2);
    const nx = v128.load32_splat(at);
    const ny = load<f32>(at, 16);
    const nz = load<f32>(at, 32);
    const nd = f32x4.add(f32x4.add(f32x4.mul(nx, dx), f32x4.splat(ny * dy)), f32x4.splat(nz * dz));
    const no = f32x4.add(f32x4.mul(nx, x), f32x4.splat(nz * z));
    const t = f32x4.div(f32x4.sub(v128.load32_splat(at, 48), no), nd);
    const px = f32x4.add(x, f32x4.mul(t, dx));
    const py = f32x4.mul(t, vdy);
    const pz = f32x4.add(vz, f32x4.mul(t, vdz));
    const before = v128.and(f32x4.gt(t, f32x4.splat(1e-4)), f32x4.lt(t, f32x4.splat(tmax)));
    const a = across(at + 64, px, py, pz);
    const within = v128.and(before, f32x4.le(f32x4.abs(a), one));
    if (!v128.any_true(within)) continue;
    const b = across(at + 128, px, py, pz);
    shut = v128.or(shut, v128.and(within, f32x4.le(f32x4.abs(b), one)));
    if (v128.all_true<i32>(shut)) break;
  }
  return shut;
}

/** Place on a rectangle along one of its axes, [−1, 1] within it. */
// @ts-ignore: decorator
@inline
function across(axis: usize, px: v128, py: v128, pz: v128): v128 {
  const along = f32x4.add(f32x4.mul(px, v128.load32_splat(axis)), f32x4.mul(py, v128.load32_splat(axis, 16)));
  const all = f32x4.add(along, f32x4.mul(pz, v128.load32_splat(axis, 32)));
  return f32x4.sub(all, v128.load32_splat(axis, 48));
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
