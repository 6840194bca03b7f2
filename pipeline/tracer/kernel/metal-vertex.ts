/** A path meets metal: its shading normal, a light sampled, and the direction in which it goes on. */
import { meetBody } from './body-vertex';
import { addMetal, largest, splat, tintByMetal } from './colours';
import { COAT_RATIO, PATTERN, RELIEF, SURFACE_BYTES, SURFACES_AT, TRIANGLE_SURFACE_AT } from './layout';
import { lightReaches } from './light-reach';
import { albedo, distribution, lambda, mx, my, mz, sampleNormal } from './metal';
import { clearance, Path, setRay } from './path-state';
import { patterned } from './pattern';
import { relief, slopeAcross, slopeAlong } from './relief';
import { draw, powerWeight, u0, u1 } from './sampling';
import {
  bendNormal,
  bix,
  biy,
  biz,
  frame,
  frameAlong,
  interpolateNormal,
  liftMirror,
  normalX,
  normalY,
  normalZ,
  tx,
  ty,
  tz,
} from './shading-frame';
import { sampleLight, toPdf, toRadiance, toX, toY, toZ } from './studio';
import { hitAt, hitPrimitive, hitU, hitV } from './tree';

/** The triangle just hit sends the path on; false where it ends. */
export function meetMetal(): bool {
  let dx = Path.dx;
  let dy = Path.dy;
  let dz = Path.dz;
  const at: usize = hitAt;
  const e1x = load<f32>(at, 48);
  const e1y = load<f32>(at, 64);
  const e1z = load<f32>(at, 80);
  const e2x = load<f32>(at, 96);
  const e2y = load<f32>(at, 112);
  const e2z = load<f32>(at, 128);
  let gx = e1y * e2z - e1z * e2y;
  let gy = e1z * e2x - e1x * e2z;
  let gz = e1x * e2y - e1y * e2x;
  const wg = -(gx * dx + gy * dy + gz * dz);
  if (!(wg > 0)) return false; // inside of a solid: nothing comes from there
  let inv = <f32>1 / sqrt<f32>(gx * gx + gy * gy + gz * gz);
  gx *= inv;
  gy *= inv;
  gz *= inv;
  // from the triangle, not along the ray: the error then doesn't grow with the camera's distance
  const px = load<f32>(at) + hitU * e1x + hitV * e2x;
  const py = load<f32>(at, 16) + hitU * e1y + hitV * e2y;
  const pz = load<f32>(at, 32) + hitU * e1z + hitV * e2z;
  let surface: usize = load<u32>(SURFACES_AT) + <u32>load<u16>(load<u32>(TRIANGLE_SURFACE_AT) + (hitPrimitive << 1)) * SURFACE_BYTES;
  if (load<f32>(surface, PATTERN) > 0) surface = patterned(surface, px, py, pz);
  interpolateNormal(hitPrimitive, hitU, hitV, gx, gy, gz);
  if (load<f32>(surface, RELIEF) > 0) {
    relief(surface, px, py, pz);
    frameAlong(normalX, normalY, normalZ, load<f32>(surface, 20), load<f32>(surface, 24), load<f32>(surface, 28));
    bendNormal(slopeAlong, slopeAcross);
  }
  liftMirror(dx, dy, dz, gx, gy, gz, -(gx * dx + gy * dy + gz * dz));
  const nx = normalX;
  const ny = normalY;
  const nz = normalZ;

  const ax = load<f32>(surface);
  const ay = load<f32>(surface, 4);
  const metal = load<u32>(surface, 8);
  const mirror = load<u32>(surface, 12) !== 0;
  if (ax === ay) frame(nx, ny, nz);
  else frameAlong(nx, ny, nz, load<f32>(surface, 20), load<f32>(surface, 24), load<f32>(surface, 28));
  const t0 = tx;
  const t1 = ty;
  const t2 = tz;
  const b0 = bix;
  const b1 = biy;
  const b2 = biz;
  const wx = -(dx * t0 + dy * t1 + dz * t2);
  const wy = -(dx * b0 + dy * b1 + dz * b2);
  const wz = max<f32>(-(dx * nx + dy * ny + dz * nz), 1e-5);
  const eps = clearance(px, py, pz);
  const ox = px + gx * eps;
  const oy = py + gy * eps;
  const oz = pz + gz * eps;
  Path.camera = false;
  if (load<f32>(surface, COAT_RATIO) > 0) return meetBody(surface, ox, oy, oz, gx, gy, gz, nx, ny, nz, wx, wy, wz);
  const lo = lambda(wx, wy, wz, ax, ay);
  const e = albedo(load<u32>(surface, 16), wx, wy, wz);
  const back = (<f32>1 - e) / e;

  if (!mirror) {
    draw();
    if (sampleLight(ox, oy, oz, u0, u1)) {
      const ix = toX * t0 + toY * t1 + toZ * t2;
      const iy = toX * b0 + toY * b1 + toZ * b2;
      const iz = toX * nx + toY * ny + toZ * nz;
      if (iz > 0 && toX * gx + toY * gy + toZ * gz > 0) {
        let hx = ix + wx;
        let hy = iy + wy;
        let hz = iz + wz;
        inv = <f32>1 / sqrt<f32>(hx * hx + hy * hy + hz * hz);
        hx *= inv;
        hy *= inv;
        hz *= inv;
        const d = distribution(hx, hy, hz, ax, ay);
        const li = lambda(ix, iy, iz, ax, ay);
        const own = d / ((<f32>1 + lo) * <f32>4 * wz);
        // D G2 / (4 cos o cos i) · cos i / p, weighed against the density of sampling the lobe
        const f = (d / (<f32>4 * wz * (<f32>1 + lo + li) * toPdf)) * powerWeight(toPdf, own);
        const light = f32x4.mul(f32x4.mul(Path.common, toRadiance), splat(f));
        if (largest(light) > <f32>1e-7) {
          if (lightReaches(ox, oy, oz)) {
            const c = max<f32>(<f32>1 - (hx * wx + hy * wy + hz * wz), 0);
            const c2 = c * c;
            const c5 = c2 * c2 * c;
            addMetal(metal, c5, (<f32>1 - c) * c5 * c, back, light, Path.scattered);
          }
        }
      }
    }
  }

  draw();
  sampleNormal(wx, wy, wz, ax, ay, u0, u1);
  const hx = mx;
  const hy = my;
  const hz = mz;
  const wh = wx * hx + wy * hy + wz * hz;
  const ix = <f32>2 * wh * hx - wx;
  const iy = <f32>2 * wh * hy - wy;
  const iz = <f32>2 * wh * hz - wz;
  if (!(iz > 0)) return false;
  dx = ix * t0 + iy * b0 + iz * nx;
  dy = ix * t1 + iy * b1 + iz * ny;
  dz = ix * t2 + iy * b2 + iz * nz;
  const under = dx * gx + dy * gy + dz * gz;
  if (under <= 0) {
    // a mirror's thin lobe is folded back over the true surface; a rough one's part below it counts as lost
    if (!mirror) return false;
    dx -= <f32>2 * under * gx;
    dy -= <f32>2 * under * gy;
    dz -= <f32>2 * under * gz;
  }
  inv = <f32>1 / sqrt<f32>(dx * dx + dy * dy + dz * dz);
  setRay(ox, oy, oz, dx * inv, dy * inv, dz * inv);
  const li = lambda(ix, iy, iz, ax, ay);
  Path.common = f32x4.mul(Path.common, splat((<f32>1 + lo) / (<f32>1 + lo + li)));
  const c = max<f32>(<f32>1 - wh, 0);
  const c2 = c * c;
  const c5 = c2 * c2 * c;
  if (!tintByMetal(metal, c5, (<f32>1 - c) * c5 * c, back)) return false;
  if (mirror) {
    Path.pdf = 0;
  } else {
    Path.pdf = distribution(hx, hy, hz, ax, ay) / ((<f32>1 + lo) * <f32>4 * wz);
    Path.scattered = true;
  }
  return true;
}
