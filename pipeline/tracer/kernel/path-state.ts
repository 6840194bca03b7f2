/** Where the path being traced has got to. A kernel traces one path at a time, so each is one value of the module. */
import { clearLimit, clearTint } from './colours';
import { jumpTo, pair } from './sampling';

/** number of the first random pair of the reflected branch of a split path, clear of the refracted branch's */
const SECOND_BRANCH: u32 = 24;

export class Path {
  /** the ray to follow next */
  static ox: f32 = 0;
  static oy: f32 = 0;
  static oz: f32 = 0;
  static dx: f32 = 0;
  static dy: f32 = 0;
  static dz: f32 = 0;
  /** colour-free part of the throughput */
  static common: v128 = f32x4.splat(0);
  /** share of the sample that this branch began with */
  static share: f32 = 1;
  /** density of the last scattering direction, 0 for mirrors and refraction: the light then counts in full */
  static pdf: f32 = 0;
  /** what white ground keeps of its shading in this pixel: less towards the frame's edge, nothing at it */
  static rim: f32 = 1;
  /** the ray comes from the camera */
  static camera: bool = false;
  static fromGround: bool = false;
  /** the ground under this path is the one the camera sees */
  static firstGround: bool = false;
  /** the ground or a rough metal has scattered this path */
  static scattered: bool = false;
  /** wavelength in µm once a dispersive stone has picked one, else 0; none is picked once the path is `scattered` */
  static wavelength: f32 = 0;
}

/** The reflected branch of a path split at the first stone or glossy ground that the camera sees. */
class Branch {
  static pending: bool = false;
  static share: f32 = 0;
  static ox: f32 = 0;
  static oy: f32 = 0;
  static oz: f32 = 0;
  static dx: f32 = 0;
  static dy: f32 = 0;
  static dz: f32 = 0;
}

/** wavelengths that are still to enter the stone the camera sees, and the pair of random numbers they begin at */
let wavesLeft: i32 = 0;
let wavePair: u32 = 0;

/** Leaves so many wavelengths for later; they go on with the random numbers that this one goes on with. */
export function leaveWaves(count: i32): void {
  wavesLeft = count;
  wavePair = pair;
  jumpTo(pair);
}

/** Readies the path for the next wavelength in the stone that the camera sees; false where there is none left. */
export function takeWaveLeft(): bool {
  if (wavesLeft === 0) return false;
  wavesLeft--;
  clearTint();
  begin(f32x4.splat(0), 0, 0, 0, 0, 0, 0);
  jumpTo(wavePair);
  return true;
}

/** A camera ray, of unit direction. */
export function startPath(ox: f32, oy: f32, oz: f32, dx: f32, dy: f32, dz: f32): void {
  clearTint();
  Branch.pending = false;
  wavesLeft = 0;
  Path.camera = true;
  Path.share = 1;
  begin(f32x4.splat(1), ox, oy, oz, dx, dy, dz);
}

/** Leaves a ray with this share of the path for later. */
export function leaveBranch(share: f32, ox: f32, oy: f32, oz: f32, dx: f32, dy: f32, dz: f32): void {
  Branch.pending = true;
  Branch.share = share;
  Branch.ox = ox;
  Branch.oy = oy;
  Branch.oz = oz;
  Branch.dx = dx;
  Branch.dy = dy;
  Branch.dz = dz;
}

/** Goes on with the branch left behind; false where there is none. */
export function takeBranch(): bool {
  if (!Branch.pending) return false;
  clearTint();
  Branch.pending = false;
  Path.camera = false;
  Path.share = Branch.share;
  begin(f32x4.splat(Branch.share), Branch.ox, Branch.oy, Branch.oz, Branch.dx, Branch.dy, Branch.dz);
  jumpTo(SECOND_BRANCH);
  return true;
}

function begin(common: v128, ox: f32, oy: f32, oz: f32, dx: f32, dy: f32, dz: f32): void {
  Path.fromGround = false;
  Path.firstGround = false;
  Path.scattered = false;
  clearLimit();
  Path.wavelength = 0;
  Path.pdf = 0;
  Path.common = common;
  setRay(ox, oy, oz, dx, dy, dz);
}

export function setRay(ox: f32, oy: f32, oz: f32, dx: f32, dy: f32, dz: f32): void {
  Path.ox = ox;
  Path.oy = oy;
  Path.oz = oz;
  Path.dx = dx;
  Path.dy = dy;
  Path.dz = dz;
}

/** Offset that clears the rounding of a point at this place: 2⁻¹⁷ of its largest coordinate, at least 15 nm. */
export function clearance(x: f32, y: f32, z: f32): f32 {
  return max<f32>(max<f32>(abs<f32>(x), abs<f32>(y)), max<f32>(abs<f32>(z), 2)) * <f32>7.62939453125e-6;
}
