/** A path meets a body of colour under its coat: a light sampled, and the direction in which it goes on. */
import { chance, coatOf, matt, mirrorShare, own, shine, weigh } from './body';
import { addBody, largest, splat, tintByBody } from './colours';
import { PATTERN } from './layout';
import { lightReaches } from './light-reach';
import { mx, my, mz, sampleNormal } from './metal';
import { Path, setRay } from './path-state';
import { tone } from './pattern';
import { circle, cosine, draw, powerWeight, sine, u0, u1 } from './sampling';
import { bix, biy, biz, tx, ty, tz } from './shading-frame';
import { sampleLight, toPdf, toRadiance, toX, toY, toZ } from './studio';

/**
 * At the place o just above the surface, with true normal g and shading normal n, seen from w in the frame that was just
 * made; false where the path ends.
 */
export function meetBody(
  surface: usize,
  ox: f32,
  oy: f32,
  oz: f32,
  gx: f32,
  gy: f32,
  gz: f32,
  nx: f32,
  ny: f32,
  nz: f32,
  wx: f32,
  wy: f32,
  wz: f32,
): bool {
  const t0 = tx;
  const t1 = ty;
  const t2 = tz;
  const b0 = bix;
  const b1 = biy;
  const b2 = biz;
  const metal = load<u32>(surface, 8);
  const mirror = load<u32>(surface, 12) !== 0;
  const shade: f32 = load<f32>(surface, PATTERN) > 0 ? tone : 0;
  coatOf(surface, wx, wy, wz);

  draw();
  if (sampleLight(ox, oy, oz, u0, u1)) {
    const iz = toX * nx + toY * ny + toZ * nz;
    if (iz > 0 && toX * gx + toY * gy + toZ * gz > 0) {
      weigh(toX * t0 + toY * t1 + toZ * t2, toX * b0 + toY * b1 + toZ * b2, iz, mirror);
      const both = shine + matt;
      const light = f32x4.mul(f32x4.mul(Path.common, toRadiance), splat((both * powerWeight(toPdf, own)) / toPdf));
      if (largest(light) > <f32>1e-7) {
        if (lightReaches(ox, oy, oz))
          addBody(metal, shine / both, shade, light, Path.scattered);
      }
    }
  }

  draw();
  let ix: f32;
  let iy: f32;
  let iz: f32;
  let wh: f32 = 0;
  const coat = u0 < chance;
  if (coat) {
    sampleNormal(wx, wy, wz, load<f32>(surface), load<f32>(surface, 4), u0 / chance, u1);
    wh = wx * mx + wy * my + wz * mz;
    ix = <f32>2 * wh * mx - wx;
    iy = <f32>2 * wh * my - wy;
    iz = <f32>2 * wh * mz - wz;
  } else {
    const v = (u0 - chance) / (<f32>1 - chance);
    circle(u1);
    const r = sqrt<f32>(v);
    ix = r * cosine;
    iy = r * sine;
    iz = sqrt<f32>(max<f32>(<f32>1 - v, 0));
  }
  if (!(iz > 0)) return false;
  let dx = ix * t0 + iy * b0 + iz * nx;
  let dy = ix * t1 + iy * b1 + iz * ny;
  let dz = ix * t2 + iy * b2 + iz * nz;
  const under = dx * gx + dy * gy + dz * gz;
  if (under <= 0) {
    if (!mirror || !coat) return false;
    dx -= <f32>2 * under * gx;
    dy -= <f32>2 * under * gy;
    dz -= <f32>2 * under * gz;
  }
  const inv = <f32>1 / sqrt<f32>(dx * dx + dy * dy + dz * dz);
  setRay(ox, oy, oz, dx * inv, dy * inv, dz * inv);
  if (mirror && coat) {
    Path.common = f32x4.mul(Path.common, splat(mirrorShare(wh, ix, iy, iz) / chance));
    Path.pdf = 0;
    return true;
  }
  weigh(ix, iy, iz, mirror);
  const both = shine + matt;
  Path.common = f32x4.mul(Path.common, splat(both / own));
  Path.pdf = own;
  Path.scattered = true;
  return tintByBody(metal, shine / both, shade);
}
