/**
 * Ray queries against the 8-wide tree: closest hit and any hit, and the exit query inside one stone.
 * Layout in layout.ts. Directions need not have unit length; distances are in units of the direction.
 *
 * Notes on speed, measured on a band of 65,536 triangles set with faceted balls (as in test/bench/embree.ts) in Node 20, millions
 * of primary, incoherent and occlusion rays a second and core on a machine with other work:
 *
 * - What a ray needs in the loop goes through memory (RAY) once. V8's optimiser otherwise moves pure arithmetic to where
 *   its result is used, and did all three divisions again in every node: 7.9 5.2 5.1 → 8.0 5.7 6.4.
 * - Nodes eight wide instead of four: half the dependent steps for twice the arithmetic, 8.1 6.2 6.3 → 8.5 6.4 6.6.
 * - Sixteen registers: a node's halves one after the other, the first one's distances stored and its mask taken before the
 *   second begins (8.0 5.9 6.2 → 8.8 7.0 6.6); one widening factor instead of three widened reciprocals, RAY loaded where
 *   it is used instead of before the loop (8.8 7.1 7.0 → 8.9 7.1 7.0).
 * - One vector division for the three reciprocals and no selects in the set-up: about 1 %.
 *
 * Together: 15 % more paths a second on a band with 39 stones, the film the same bit for bit. Older choices that stay:
 *
 * - Near and far planes chosen by the ray's signs through byte offsets; pmin/pmax instead of min/max (one x86 instruction
 *   instead of several); children sorted by branches and pushed with their entry distances so that a pop can drop them
 *   unread. The branches hold stores, not swaps of locals, which binaryen turns into selects.
 *
 * Tried and dropped: children sorted without branches (six comparisons, a table of byte shuffles, two vector stores onto
 * the stack; 4-wide nodes): primary 8.0 → 6.3, incoherent 5.7 → 5.2, occlusion 6.4 → 5.5. Triangle test scaled by the
 * determinant, its division only after a hit: incoherent 6.0 → 5.8, others the same. Children in order of area or leaves
 * first, for any-hit queries: no gain. (asc -O0, -O1, -O3 and single passes were compared on an earlier version: all within
 * ±10 %.)
 */
import {
  BLOCK_BYTES,
  NODE_CHILDREN,
  RAY,
  ROOT,
  SCRATCH,
  STACK,
  STONE_INDEX,
  STONE_PLANE_BLOCKS,
  STONE_PLANES_AT,
  TRIANGLES,
} from './layout';

export const NOTHING: u32 = 0xffffffff;
export const FAR: f32 = Infinity;

/** result of `closest`: primitive (triangles first, then stones), distance, and where a triangle's data lie */
export let hitPrimitive: u32 = NOTHING;
export let hitT: f32 = 0;
export let hitU: f32 = 0;
export let hitV: f32 = 0;
/** byte offset of the block, plus 4 × lane: component k of the triangle is at +16 k */
export let hitAt: u32 = 0;
/** byte offset of the stone record */
export let hitStone: u32 = 0;

/** edges belong to both neighbours: rays through a seam of the mesh may hit either, never neither */
const EDGE: f32 = 1e-6;
/** slab distances carry two roundings; widening the far side keeps flat boxes watertight (Ize, JCGT 2(2), 2013) */
const WIDEN: f32 = 1.0000005;

/** Writes RAY. Directions along an axis count as a hair off it, so that no distance is 0 × ∞. */
@inline
function setUp(ox: f32, oy: f32, oz: f32, dx: f32, dy: f32, dz: f32): void {
  const d = f32x4.replace_lane(f32x4.replace_lane(f32x4.splat(dx), 1, dy), 2, dz);
  const sign = v128.and(d, f32x4.splat(-0.0));
  const size = f32x4.pmax(v128.xor(d, sign), f32x4.splat(1e-20));
  const r = f32x4.div(f32x4.splat(1), v128.or(size, sign));
  const signs = i32x4.bitmask(d);
  const sx = (signs & 1) << 5;
  const sy = (signs & 2) << 4;
  const sz = (signs & 4) << 3;
  store<u32>(RAY, sx);
  store<u32>(RAY, sy, 4);
  store<u32>(RAY, sz, 8);
  store<u32>(RAY, sx ^ 32, 12);
  store<u32>(RAY, sy ^ 32, 16);
  store<u32>(RAY, sz ^ 32, 20);
  v128.store(RAY, f32x4.splat(ox), 32);
  v128.store(RAY, f32x4.splat(oy), 48);
  v128.store(RAY, f32x4.splat(oz), 64);
  v128.store(RAY, i8x16.shuffle(r, r, 0, 1, 2, 3, 0, 1, 2, 3, 0, 1, 2, 3, 0, 1, 2, 3), 80);
  v128.store(RAY, i8x16.shuffle(r, r, 4, 5, 6, 7, 4, 5, 6, 7, 4, 5, 6, 7, 4, 5, 6, 7), 96);
  v128.store(RAY, i8x16.shuffle(r, r, 8, 9, 10, 11, 8, 9, 10, 11, 8, 9, 10, 11, 8, 9, 10, 11), 112);
  v128.store(RAY, f32x4.splat(WIDEN), 128);
  v128.store(RAY, f32x4.splat(dx), 144);
  v128.store(RAY, f32x4.splat(dy), 160);
  v128.store(RAY, f32x4.splat(dz), 176);
}

/**
 * Stone against ray: entry distance, or +inf. A plane's distance is (d − n·o)/(n·dir); entry is the largest over planes
 * facing the ray, exit the smallest over the others. Planes four at a time.
 */
function enterStone(stone: usize, ox: f32, oy: f32, oz: f32, dx: f32, dy: f32, dz: f32, tmax: f32): f32 {
  const a0 = load<f32>(stone);
  const a1 = load<f32>(stone, 4);
  const a2 = load<f32>(stone, 8);
  const b0 = load<f32>(stone, 16);
  const b1 = load<f32>(stone, 20);
  const b2 = load<f32>(stone, 24);
  const c0 = load<f32>(stone, 32);
  const c1 = load<f32>(stone, 36);
  const c2 = load<f32>(stone, 40);
  const lx = f32x4.splat(a0 * ox + a1 * oy + a2 * oz + load<f32>(stone, 12));
  const ly = f32x4.splat(b0 * ox + b1 * oy + b2 * oz + load<f32>(stone, 28));
  const lz = f32x4.splat(c0 * ox + c1 * oy + c2 * oz + load<f32>(stone, 44));
  const ex = f32x4.splat(a0 * dx + a1 * dy + a2 * dz);
  const ey = f32x4.splat(b0 * dx + b1 * dy + b2 * dz);
  const ez = f32x4.splat(c0 * dx + c1 * dy + c2 * dz);
  let plane: usize = load<u32>(stone, STONE_PLANES_AT);
  const end = plane + (load<u32>(stone, STONE_PLANE_BLOCKS) << 6);
  const zero = f32x4.splat(0);
  let enter = f32x4.splat(-FAR);
  let exit = f32x4.splat(tmax);
  do {
    const nx = v128.load(plane);
    const ny = v128.load(plane, 16);
    const nz = v128.load(plane, 32);
    // adding zero turns −0 into +0, so that a parallel plane's distance has the sign of its numerator
    const nd = f32x4.add(
      f32x4.add(f32x4.add(f32x4.mul(nx, ex), f32x4.mul(ny, ey)), f32x4.mul(nz, ez)),
      zero,
    );
    const no = f32x4.add(f32x4.add(f32x4.mul(nx, lx), f32x4.mul(ny, ly)), f32x4.mul(nz, lz));
    const t = f32x4.div(f32x4.sub(v128.load(plane, 48), no), nd);
    const facing = f32x4.lt(nd, zero);
    enter = f32x4.pmax(enter, v128.bitselect(t, enter, facing));
    exit = f32x4.pmin(exit, v128.bitselect(exit, t, facing));
    plane += 64;
  } while (plane < end);
  const enter2 = f32x4.pmax(enter, i8x16.shuffle(enter, enter, 8, 9, 10, 11, 12, 13, 14, 15, 0, 1, 2, 3, 4, 5, 6, 7));
  const exit2 = f32x4.pmin(exit, i8x16.shuffle(exit, exit, 8, 9, 10, 11, 12, 13, 14, 15, 0, 1, 2, 3, 4, 5, 6, 7));
  const near = max<f32>(f32x4.extract_lane(enter2, 0), f32x4.extract_lane(enter2, 1));
  const far = min<f32>(f32x4.extract_lane(exit2, 0), f32x4.extract_lane(exit2, 1));
  return near > 0 && near < far ? near : FAR;
}

/** Nearest triangle or stone nearer than `tmax`; see the exported results. A ray starting inside a stone ignores it. */
export function closest(ox: f32, oy: f32, oz: f32, dx: f32, dy: f32, dz: f32, tmax: f32): void {
  setUp(ox, oy, oz, dx, dy, dz);
  const sx: usize = load<u32>(RAY);
  const sy: usize = load<u32>(RAY + 4);
  const sz: usize = load<u32>(RAY + 8);
  const fx: usize = load<u32>(RAY + 12);
  const fy: usize = load<u32>(RAY + 16);
  const fz: usize = load<u32>(RAY + 20);
  const zero = f32x4.splat(0);

  let best = tmax;
  let primitive: u32 = NOTHING;
  let at: usize = 0;
  let u: f32 = 0;
  let v: f32 = 0;
  let stone: usize = 0;
  let sp: usize = STACK;
  let node: usize = load<u32>(ROOT);

  while (true) {
    let pop = false;
    if ((node & 15) === 0) {
      const limit = f32x4.splat(best);
      const vox = v128.load(RAY + 32);
      const voy = v128.load(RAY + 48);
      const voz = v128.load(RAY + 64);
      const vrx = v128.load(RAY + 80);
      const vry = v128.load(RAY + 96);
      const vrz = v128.load(RAY + 112);
      const nx = node + sx;
      const ny = node + sy;
      const nz = node + sz;
      const mx = node + fx;
      const my = node + fy;
      const mz = node + fz;
      let tn0 = f32x4.mul(f32x4.sub(v128.load(nx, 0), vox), vrx);
      tn0 = f32x4.pmax(tn0, f32x4.mul(f32x4.sub(v128.load(ny, 64), voy), vry));
      tn0 = f32x4.pmax(tn0, f32x4.mul(f32x4.sub(v128.load(nz, 128), voz), vrz));
      tn0 = f32x4.pmax(tn0, zero);
      let tf0 = f32x4.mul(f32x4.sub(v128.load(mx, 0), vox), vrx);
      tf0 = f32x4.pmin(tf0, f32x4.mul(f32x4.sub(v128.load(my, 64), voy), vry));
      tf0 = f32x4.pmin(tf0, f32x4.mul(f32x4.sub(v128.load(mz, 128), voz), vrz));
      tf0 = f32x4.pmin(f32x4.mul(tf0, v128.load(RAY + 128)), limit);
      v128.store(SCRATCH, tn0);
      const m0 = i32x4.bitmask(f32x4.le(tn0, tf0));
      let tn1 = f32x4.mul(f32x4.sub(v128.load(nx, 16), vox), vrx);
      tn1 = f32x4.pmax(tn1, f32x4.mul(f32x4.sub(v128.load(ny, 80), voy), vry));
      tn1 = f32x4.pmax(tn1, f32x4.mul(f32x4.sub(v128.load(nz, 144), voz), vrz));
      tn1 = f32x4.pmax(tn1, zero);
      let tf1 = f32x4.mul(f32x4.sub(v128.load(mx, 16), vox), vrx);
      tf1 = f32x4.pmin(tf1, f32x4.mul(f32x4.sub(v128.load(my, 80), voy), vry));
      tf1 = f32x4.pmin(tf1, f32x4.mul(f32x4.sub(v128.load(mz, 144), voz), vrz));
      tf1 = f32x4.pmin(f32x4.mul(tf1, v128.load(RAY + 128)), limit);
      let mask = m0 | (i32x4.bitmask(f32x4.le(tn1, tf1)) << 4);
      if (mask === 0) {
        pop = true;
      } else {
        const i0 = <usize>ctz(mask) << 2;
        mask &= mask - 1;
        if (mask === 0) {
          node = load<u32>(node + i0, NODE_CHILDREN);
        } else {
          v128.store(SCRATCH + 16, tn1);
          const i1 = <usize>ctz(mask) << 2;
          mask &= mask - 1;
          const c0 = load<u32>(node + i0, NODE_CHILDREN);
          const c1 = load<u32>(node + i1, NODE_CHILDREN);
          const t0 = load<f32>(i0, SCRATCH);
          const t1 = load<f32>(i1, SCRATCH);
          if (mask === 0) {
            if (t1 < t0) {
              store<u32>(sp, c0);
              store<f32>(sp, t0, 4);
              node = c1;
            } else {
              store<u32>(sp, c1);
              store<f32>(sp, t1, 4);
              node = c0;
            }
            sp += 8;
          } else {
            // three or more: sorted on the stack itself, nearest on top
            if (t1 < t0) {
              store<u32>(sp, c0);
              store<f32>(sp, t0, 4);
              store<u32>(sp, c1, 8);
              store<f32>(sp, t1, 12);
            } else {
              store<u32>(sp, c1);
              store<f32>(sp, t1, 4);
              store<u32>(sp, c0, 8);
              store<f32>(sp, t0, 12);
            }
            const bottom = sp;
            sp += 16;
            do {
              const i = <usize>ctz(mask) << 2;
              mask &= mask - 1;
              const t = load<f32>(i, SCRATCH);
              let hole = sp;
              while (hole > bottom && load<f32>(hole - 4) < t) {
                store<u64>(hole, load<u64>(hole - 8));
                hole -= 8;
              }
              store<u32>(hole, load<u32>(node + i, NODE_CHILDREN));
              store<f32>(hole, t, 4);
              sp += 8;
            } while (mask !== 0);
            sp -= 8;
            node = load<u32>(sp);
          }
        }
      }
    } else {
      const blocks = node & 15;
      let block = node - blocks;
      if (blocks === 15) {
        const t = enterStone(block, ox, oy, oz, dx, dy, dz, best);
        if (t < best) {
          best = t;
          stone = block;
          primitive = load<u32>(block, STONE_INDEX) + load<u32>(TRIANGLES);
        }
      } else {
        const end = block + blocks * BLOCK_BYTES;
        const vox = v128.load(RAY + 32);
        const voy = v128.load(RAY + 48);
        const voz = v128.load(RAY + 64);
        const vdx = v128.load(RAY + 144);
        const vdy = v128.load(RAY + 160);
        const vdz = v128.load(RAY + 176);
        do {
          // Möller and Trumbore, four triangles
          const e1x = v128.load(block, 48);
          const e1y = v128.load(block, 64);
          const e1z = v128.load(block, 80);
          const e2x = v128.load(block, 96);
          const e2y = v128.load(block, 112);
          const e2z = v128.load(block, 128);
          const px = f32x4.sub(f32x4.mul(vdy, e2z), f32x4.mul(vdz, e2y));
          const py = f32x4.sub(f32x4.mul(vdz, e2x), f32x4.mul(vdx, e2z));
          const pz = f32x4.sub(f32x4.mul(vdx, e2y), f32x4.mul(vdy, e2x));
          const det = f32x4.add(f32x4.add(f32x4.mul(e1x, px), f32x4.mul(e1y, py)), f32x4.mul(e1z, pz));
          const inv = f32x4.div(f32x4.splat(1), det);
          const kx = f32x4.sub(vox, v128.load(block));
          const ky = f32x4.sub(voy, v128.load(block, 16));
          const kz = f32x4.sub(voz, v128.load(block, 32));
          const vu = f32x4.mul(
            f32x4.add(f32x4.add(f32x4.mul(kx, px), f32x4.mul(ky, py)), f32x4.mul(kz, pz)),
            inv,
          );
          const qx = f32x4.sub(f32x4.mul(ky, e1z), f32x4.mul(kz, e1y));
          const qy = f32x4.sub(f32x4.mul(kz, e1x), f32x4.mul(kx, e1z));
          const qz = f32x4.sub(f32x4.mul(kx, e1y), f32x4.mul(ky, e1x));
          const vv = f32x4.mul(
            f32x4.add(f32x4.add(f32x4.mul(vdx, qx), f32x4.mul(vdy, qy)), f32x4.mul(vdz, qz)),
            inv,
          );
          const vt = f32x4.mul(
            f32x4.add(f32x4.add(f32x4.mul(e2x, qx), f32x4.mul(e2y, qy)), f32x4.mul(e2z, qz)),
            inv,
          );
          const low = f32x4.splat(-EDGE);
          let mask = i32x4.bitmask(
            v128.and(
              v128.and(
                v128.and(f32x4.ge(vu, low), f32x4.ge(vv, low)),
                f32x4.le(f32x4.add(vu, vv), f32x4.splat(<f32>1 + EDGE)),
              ),
              v128.and(f32x4.gt(vt, zero), f32x4.lt(vt, f32x4.splat(best))),
            ),
          );
          if (mask !== 0) {
            v128.store(SCRATCH, vt);
            v128.store(SCRATCH + 16, vu);
            v128.store(SCRATCH + 32, vv);
            do {
              const lane = <usize>ctz(mask) << 2;
              mask &= mask - 1;
              const t = load<f32>(lane, SCRATCH);
              if (t < best) {
                best = t;
                u = load<f32>(lane, SCRATCH + 16);
                v = load<f32>(lane, SCRATCH + 32);
                at = block + lane;
                primitive = load<u32>(block + lane, 144);
              }
            } while (mask !== 0);
          }
          block += BLOCK_BYTES;
        } while (block < end);
      }
      pop = true;
    }
    if (pop) {
      do {
        if (sp === STACK) {
          hitPrimitive = primitive;
          hitT = best;
          hitU = u;
          hitV = v;
          hitAt = <u32>at;
          hitStone = <u32>stone;
          return;
        }
        sp -= 8;
      } while (load<f32>(sp, 4) >= best);
      node = load<u32>(sp);
    }
  }
}

/** Whether any triangle or stone lies nearer than `tmax`. */
export function occluded(ox: f32, oy: f32, oz: f32, dx: f32, dy: f32, dz: f32, tmax: f32): bool {
  setUp(ox, oy, oz, dx, dy, dz);
  const sx: usize = load<u32>(RAY);
  const sy: usize = load<u32>(RAY + 4);
  const sz: usize = load<u32>(RAY + 8);
  const fx: usize = load<u32>(RAY + 12);
  const fy: usize = load<u32>(RAY + 16);
  const fz: usize = load<u32>(RAY + 20);
  const zero = f32x4.splat(0);
  const limit = f32x4.splat(tmax);
  let sp: usize = STACK;
  let node: usize = load<u32>(ROOT);

  while (true) {
    if ((node & 15) === 0) {
      const vox = v128.load(RAY + 32);
      const voy = v128.load(RAY + 48);
      const voz = v128.load(RAY + 64);
      const vrx = v128.load(RAY + 80);
      const vry = v128.load(RAY + 96);
      const vrz = v128.load(RAY + 112);
      const nx = node + sx;
      const ny = node + sy;
      const nz = node + sz;
      const mx = node + fx;
      const my = node + fy;
      const mz = node + fz;
      let tn0 = f32x4.mul(f32x4.sub(v128.load(nx, 0), vox), vrx);
      tn0 = f32x4.pmax(tn0, f32x4.mul(f32x4.sub(v128.load(ny, 64), voy), vry));
      tn0 = f32x4.pmax(tn0, f32x4.mul(f32x4.sub(v128.load(nz, 128), voz), vrz));
      tn0 = f32x4.pmax(tn0, zero);
      let tf0 = f32x4.mul(f32x4.sub(v128.load(mx, 0), vox), vrx);
      tf0 = f32x4.pmin(tf0, f32x4.mul(f32x4.sub(v128.load(my, 64), voy), vry));
      tf0 = f32x4.pmin(tf0, f32x4.mul(f32x4.sub(v128.load(mz, 128), voz), vrz));
      tf0 = f32x4.pmin(f32x4.mul(tf0, v128.load(RAY + 128)), limit);
      const m0 = i32x4.bitmask(f32x4.le(tn0, tf0));
      let tn1 = f32x4.mul(f32x4.sub(v128.load(nx, 16), vox), vrx);
      tn1 = f32x4.pmax(tn1, f32x4.mul(f32x4.sub(v128.load(ny, 80), voy), vry));
      tn1 = f32x4.pmax(tn1, f32x4.mul(f32x4.sub(v128.load(nz, 144), voz), vrz));
      tn1 = f32x4.pmax(tn1, zero);
      let tf1 = f32x4.mul(f32x4.sub(v128.load(mx, 16), vox), vrx);
      tf1 = f32x4.pmin(tf1, f32x4.mul(f32x4.sub(v128.load(my, 80), voy), vry));
      tf1 = f32x4.pmin(tf1, f32x4.mul(f32x4.sub(v128.load(mz, 144), voz), vrz));
      tf1 = f32x4.pmin(f32x4.mul(tf1, v128.load(RAY + 128)), limit);
      let mask = m0 | (i32x4.bitmask(f32x4.le(tn1, tf1)) << 4);
      if (mask !== 0) {
        const parent = node;
        node = load<u32>(parent + (<usize>ctz(mask) << 2), NODE_CHILDREN);
        mask &= mask - 1;
        while (mask !== 0) {
          store<u32>(sp, load<u32>(parent + (<usize>ctz(mask) << 2), NODE_CHILDREN));
          sp += 4;
          mask &= mask - 1;
        }
        continue;
      }
    } else {
      const blocks = node & 15;
      let block = node - blocks;
      if (blocks === 15) {
        if (enterStone(block, ox, oy, oz, dx, dy, dz, tmax) < tmax) return true;
      } else {
        const end = block + blocks * BLOCK_BYTES;
        const vox = v128.load(RAY + 32);
        const voy = v128.load(RAY + 48);
        const voz = v128.load(RAY + 64);
        const vdx = v128.load(RAY + 144);
        const vdy = v128.load(RAY + 160);
        const vdz = v128.load(RAY + 176);
        do {
          const e1x = v128.load(block, 48);
          const e1y = v128.load(block, 64);
          const e1z = v128.load(block, 80);
          const e2x = v128.load(block, 96);
          const e2y = v128.load(block, 112);
          const e2z = v128.load(block, 128);
          const px = f32x4.sub(f32x4.mul(vdy, e2z), f32x4.mul(vdz, e2y));
          const py = f32x4.sub(f32x4.mul(vdz, e2x), f32x4.mul(vdx, e2z));
          const pz = f32x4.sub(f32x4.mul(vdx, e2y), f32x4.mul(vdy, e2x));
          const det = f32x4.add(f32x4.add(f32x4.mul(e1x, px), f32x4.mul(e1y, py)), f32x4.mul(e1z, pz));
          const inv = f32x4.div(f32x4.splat(1), det);
          const kx = f32x4.sub(vox, v128.load(block));
          const ky = f32x4.sub(voy, v128.load(block, 16));
          const kz = f32x4.sub(voz, v128.load(block, 32));
          const vu = f32x4.mul(
            f32x4.add(f32x4.add(f32x4.mul(kx, px), f32x4.mul(ky, py)), f32x4.mul(kz, pz)),
            inv,
          );
          const qx = f32x4.sub(f32x4.mul(ky, e1z), f32x4.mul(kz, e1y));
          const qy = f32x4.sub(f32x4.mul(kz, e1x), f32x4.mul(kx, e1z));
          const qz = f32x4.sub(f32x4.mul(kx, e1y), f32x4.mul(ky, e1x));
          const vv = f32x4.mul(
            f32x4.add(f32x4.add(f32x4.mul(vdx, qx), f32x4.mul(vdy, qy)), f32x4.mul(vdz, qz)),
            inv,
          );
          const vt = f32x4.mul(
            f32x4.add(f32x4.add(f32x4.mul(e2x, qx), f32x4.mul(e2y, qy)), f32x4.mul(e2z, qz)),
            inv,
          );
          const low = f32x4.splat(-EDGE);
          if (
            v128.any_true(
              v128.and(
                v128.and(
                  v128.and(f32x4.ge(vu, low), f32x4.ge(vv, low)),
                  f32x4.le(f32x4.add(vu, vv), f32x4.splat(<f32>1 + EDGE)),
                ),
                v128.and(f32x4.gt(vt, zero), f32x4.lt(vt, limit)),
              ),
            )
          ) {
            return true;
          }
          block += BLOCK_BYTES;
        } while (block < end);
      }
    }
    if (sp === STACK) return false;
    sp -= 4;
    node = load<u32>(sp);
  }
}

/** results of `leaveStone` and `faceOf`: distance along the local ray and byte offset of the plane (component stride 16) */
export let faceT: f32 = 0;
export let faceAt: u32 = 0;

/**
 * The plane through which a ray inside a convex set of planes leaves it. Only planes the ray runs towards count, so the
 * plane it just came from never does and no offset is needed.
 */
export function leaveStone(
  planes: usize,
  blocks: u32,
  ox: f32,
  oy: f32,
  oz: f32,
  dx: f32,
  dy: f32,
  dz: f32,
): void {
  const vox = f32x4.splat(ox);
  const voy = f32x4.splat(oy);
  const voz = f32x4.splat(oz);
  const vdx = f32x4.splat(dx);
  const vdy = f32x4.splat(dy);
  const vdz = f32x4.splat(dz);
  const zero = f32x4.splat(0);
  let best = f32x4.splat(FAR);
  let where = i32x4.splat(<i32>planes);
  let plane = planes;
  const end = planes + (blocks << 6);
  do {
    const nx = v128.load(plane);
    const ny = v128.load(plane, 16);
    const nz = v128.load(plane, 32);
    const nd = f32x4.add(f32x4.add(f32x4.mul(nx, vdx), f32x4.mul(ny, vdy)), f32x4.mul(nz, vdz));
    const no = f32x4.add(f32x4.add(f32x4.mul(nx, vox), f32x4.mul(ny, voy)), f32x4.mul(nz, voz));
    const t = f32x4.div(f32x4.sub(v128.load(plane, 48), no), nd);
    const nearer = v128.and(f32x4.gt(nd, zero), f32x4.lt(t, best));
    best = v128.bitselect(t, best, nearer);
    where = v128.bitselect(i32x4.splat(<i32>plane), where, nearer);
    plane += 64;
  } while (plane < end);
  pickLane(best, where);
  // rounding at an edge may leave the origin a hair outside the next plane
  faceT = max<f32>(faceT, 0);
}

/** The plane of `stone` that a local ray enters through: the same arithmetic as enterStone, with the plane kept. */
export function faceOf(
  planes: usize,
  blocks: u32,
  ox: f32,
  oy: f32,
  oz: f32,
  dx: f32,
  dy: f32,
  dz: f32,
): void {
  const vox = f32x4.splat(ox);
  const voy = f32x4.splat(oy);
  const voz = f32x4.splat(oz);
  const vdx = f32x4.splat(dx);
  const vdy = f32x4.splat(dy);
  const vdz = f32x4.splat(dz);
  const zero = f32x4.splat(0);
  let best = f32x4.splat(FAR);
  let where = i32x4.splat(<i32>planes);
  let plane = planes;
  const end = planes + (blocks << 6);
  do {
    const nx = v128.load(plane);
    const ny = v128.load(plane, 16);
    const nz = v128.load(plane, 32);
    const nd = f32x4.add(f32x4.add(f32x4.mul(nx, vdx), f32x4.mul(ny, vdy)), f32x4.mul(nz, vdz));
    const no = f32x4.add(f32x4.add(f32x4.mul(nx, vox), f32x4.mul(ny, voy)), f32x4.mul(nz, voz));
    // negated so that the largest entry is the smallest value and pickLane serves both queries
    const t = f32x4.div(f32x4.sub(no, v128.load(plane, 48)), nd);
    const nearer = v128.and(f32x4.lt(nd, zero), f32x4.lt(t, best));
    best = v128.bitselect(t, best, nearer);
    where = v128.bitselect(i32x4.splat(<i32>plane), where, nearer);
    plane += 64;
  } while (plane < end);
  pickLane(best, where);
  faceT = -faceT;
}

function pickLane(best: v128, where: v128): void {
  const t0 = f32x4.extract_lane(best, 0);
  const t1 = f32x4.extract_lane(best, 1);
  const t2 = f32x4.extract_lane(best, 2);
  const t3 = f32x4.extract_lane(best, 3);
  let t = t0;
  let at = i32x4.extract_lane(where, 0);
  if (t1 < t) {
    t = t1;
    at = i32x4.extract_lane(where, 1) + 4;
  }
  if (t2 < t) {
    t = t2;
    at = i32x4.extract_lane(where, 2) + 8;
  }
  if (t3 < t) {
    t = t3;
    at = i32x4.extract_lane(where, 3) + 12;
  }
  faceT = t;
  faceAt = <u32>at;
}
