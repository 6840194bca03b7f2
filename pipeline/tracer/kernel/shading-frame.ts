/** Tangents about a direction, and the shading normal of a triangle. */
import { INDICES_AT, NORMALS_AT } from './layout';

/** results of `frame` and `frameAlong`: tangent and bitangent */
export let tx: f32 = 0;
export let ty: f32 = 0;
export let tz: f32 = 0;
export let bix: f32 = 0;
export let biy: f32 = 0;
export let biz: f32 = 0;

/** Any frame about a unit vector (Duff et al., "Building an Orthonormal Basis, Revisited", JCGT 6(1), 2017). */
export function frame(x: f32, y: f32, z: f32): void {
  const s = copysign<f32>(1, z);
  const a = <f32>-1 / (s + z);
  const b = x * y * a;
  tx = <f32>1 + s * x * x * a;
  ty = s * b;
  tz = -s * x;
  bix = b;
  biy = s + y * y * a;
  biz = -y;
}

/** The brushing frame: tangent along cross(axis, normal). */
export function frameAlong(x: f32, y: f32, z: f32, ax: f32, ay: f32, az: f32): void {
  let cx = ay * z - az * y;
  let cy = az * x - ax * z;
  let cz = ax * y - ay * x;
  const l2 = cx * cx + cy * cy + cz * cz;
  if (l2 < <f32>1e-10) {
    frame(x, y, z);
    return;
  }
  const l = <f32>1 / sqrt<f32>(l2);
  tx = cx * l;
  ty = cy * l;
  tz = cz * l;
  bix = y * tz - z * ty;
  biy = z * tx - x * tz;
  biz = x * ty - y * tx;
}

/** result of `interpolateNormal` and `liftMirror`, unit */
export let normalX: f32 = 0;
export let normalY: f32 = 0;
export let normalZ: f32 = 0;

/** The corners' normals between them; the true normal g where they cancel out. */
export function interpolateNormal(id: u32, u: f32, v: f32, gx: f32, gy: f32, gz: f32): void {
  const index: usize = load<u32>(INDICES_AT) + id * 12;
  const normals: usize = load<u32>(NORMALS_AT);
  const a: usize = normals + load<u32>(index) * 12;
  const b: usize = normals + load<u32>(index, 4) * 12;
  const c: usize = normals + load<u32>(index, 8) * 12;
  const w: f32 = <f32>1 - u - v;
  const nx = w * load<f32>(a) + u * load<f32>(b) + v * load<f32>(c);
  const ny = w * load<f32>(a, 4) + u * load<f32>(b, 4) + v * load<f32>(c, 4);
  const nz = w * load<f32>(a, 8) + u * load<f32>(b, 8) + v * load<f32>(c, 8);
  const l2 = nx * nx + ny * ny + nz * nz;
  if (!(l2 > <f32>1e-12)) {
    normalX = gx;
    normalY = gy;
    normalZ = gz;
    return;
  }
  const inv: f32 = <f32>1 / sqrt<f32>(l2);
  normalX = nx * inv;
  normalY = ny * inv;
  normalZ = nz * inv;
}

/** Tilts the normal by slopes along the frame's two tangents. */
export function bendNormal(along: f32, across: f32): void {
  normalX -= along * tx + across * bix;
  normalY -= along * ty + across * biy;
  normalZ -= along * tz + across * biz;
  const inv = <f32>1 / sqrt<f32>(normalX * normalX + normalY * normalY + normalZ * normalZ);
  normalX *= inv;
  normalY *= inv;
  normalZ *= inv;
}

/**
 * The normal, bent just enough that the mirror direction leaves the true surface: where it would dip below, the mirror
 * direction is lifted to a small angle above it and the normal becomes the half vector. So grazing views of a tessellated
 * curve neither turn black nor look into the solid. `wg` is the cosine to the true normal g.
 */
export function liftMirror(dx: f32, dy: f32, dz: f32, gx: f32, gy: f32, gz: f32, wg: f32): void {
  let nx = normalX;
  let ny = normalY;
  let nz = normalZ;
  const wn = -(dx * nx + dy * ny + dz * nz);
  let rx = dx + <f32>2 * wn * nx;
  let ry = dy + <f32>2 * wn * ny;
  let rz = dz + <f32>2 * wn * nz;
  const rg = rx * gx + ry * gy + rz * gz;
  const least = min<f32>(wg * <f32>0.9, 0.01);
  if (rg < least) {
    rx += (least - rg) * gx;
    ry += (least - rg) * gy;
    rz += (least - rg) * gz;
    let inv: f32 = <f32>1 / sqrt<f32>(rx * rx + ry * ry + rz * rz);
    nx = rx * inv - dx;
    ny = ry * inv - dy;
    nz = rz * inv - dz;
    inv = <f32>1 / sqrt<f32>(nx * nx + ny * ny + nz * nz);
    nx *= inv;
    ny *= inv;
    nz *= inv;
  }
  normalX = nx;
  normalY = ny;
  normalZ = nz;
}
