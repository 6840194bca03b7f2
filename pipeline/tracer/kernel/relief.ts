/**
 * The fine relief of a finish: marks of brush, pad or blast, seen at macro distance. A surface's normal is tilted by
 * smooth noise in the band's own coordinates (along: round the ring; across: over the section), so that marks turn with the
 * band and close round it. A pure function of the place hit: samples share it, and no random number is drawn.
 *
 * Two octaves of value noise (Perlin, "An Image Synthesizer", SIGGRAPH 1985, with his fade curve), the second 2.7 times finer
 * and 0.6 times as steep. Where a pixel spans many marks they average to a lobe wider by their slopes' variance.
 *
 * Blows leave dents instead: every place belongs to the nearest of a jittered grid of points (Worley, "A Cellular Texture Basis
 * Function", SIGGRAPH 1996), so that dents overlap and meet in sharp ridges. A dent is a bowl, whose slope grows with the
 * distance from its point, a flake that leans as a whole, or something of both. Noise can't look like either: it has no
 * ridges, so that it reads as grain of the picture.
 *
 * Strokes of a brush in two directions are two such noises, each in cells long along its strokes and with slopes across them.
 * A turning brush leaves spots, each over the one before, with noise along their radius.
 */
import { hash } from './sampling';
import { locate, placeHeight, placeX, placeY } from './band-place';
import { CROSSED, RELIEF, RELIEF_RADIUS, RELIEF_TILT } from './layout';

const FINER: f32 = 2.7;
const FAINTER: f32 = 0.6;
/** Width of a stroke in lengths of it. */
const SHORTER: f32 = 1.0 / 60.0;
/** Radius of a brushed spot in distances of spots; from 0.577 on they leave nothing between them. */
const SPOT: f32 = 0.66;
/** Strokes in a distance of spots. */
const RINGS: f32 = 56;
const TURN: f32 = 0.15915494309;

/** results of `relief`: slopes along and across, up to about ±1.6 times the surface's */
export let slopeAlong: f32 = 0;
export let slopeAcross: f32 = 0;

/** atan2 as a share of a turn, 0…1; error below 2e-5 of a turn (polynomial: Abramowitz & Stegun 4.4.49, on 0…1). */
// @ts-ignore: decorator
@inline
export function turnOf(x: f32, y: f32): f32 {
  const ax = abs<f32>(x);
  const ay = abs<f32>(y);
  const most = max<f32>(ax, ay);
  if (!(most > 0)) return 0;
  const q = min<f32>(ax, ay) / most;
  const q2 = q * q;
  let a = q * (<f32>0.9998660 + q2 * (<f32>-0.3302995 + q2 * (<f32>0.1801410 + q2 * (<f32>-0.0851330 + q2 * <f32>0.0208351))));
  a *= TURN;
  if (ay > ax) a = <f32>0.25 - a;
  if (x < 0) a = <f32>0.5 - a;
  return y < 0 ? <f32>1 - a : a;
}

// @ts-ignore: decorator
@inline
function corner(i: i32, j: i32, salt: u32): f32 {
  return <f32>(hash((<u32>i * 0x9e3779b9) ^ hash(<u32>j * 0x85ebca6b + salt)) >>> 8) * <f32>(2.0 / 16777216.0) - <f32>1;
}

/** Value noise in −1…1 at cell coordinates (u, v), with a period of `columns` in u. */
function noise(u: f32, v: f32, columns: i32, salt: u32): f32 {
  const fu = floor<f32>(u);
  const fv = floor<f32>(v);
  let a = u - fu;
  let b = v - fv;
  a = a * a * (<f32>3 - <f32>2 * a);
  b = b * b * (<f32>3 - <f32>2 * b);
  const i = <i32>fu % columns;
  const k = (i + 1) % columns;
  const j = <i32>fv;
  const low = corner(i, j, salt) * (<f32>1 - a) + corner(k, j, salt) * a;
  const high = corner(i, j + 1, salt) * (<f32>1 - a) + corner(k, j + 1, salt) * a;
  return low * (<f32>1 - b) + high * b;
}

/** A share in 0…1 of cell (i, j). */
// @ts-ignore: decorator
@inline
function share(i: i32, j: i32, salt: u32): f32 {
  return corner(i, j, salt) * <f32>0.5 + <f32>0.5;
}

/** Dents at cell coordinates (u, v), with a period of `columns` in u: slopes of about ±1 into the results. */
function dents(u: f32, v: f32, columns: i32, tilt: f32): void {
  const fu = floor<f32>(u);
  const fv = floor<f32>(v);
  let nearest: f32 = 1e9;
  let bestX: f32 = 0;
  let bestY: f32 = 0;
  let bestI = 0;
  let bestJ = 0;
  for (let b = -1; b <= 1; b++) {
    const j = <i32>fv + b;
    for (let a = -1; a <= 1; a++) {
      const i = (<i32>fu + a + columns) % columns;
      const x = u - fu - <f32>a - share(i, j, 5);
      const y = v - fv - <f32>b - share(i, j, 6);
      const d = x * x + y * y;
      if (d < nearest) {
        nearest = d;
        bestX = x;
        bestY = y;
        bestI = i;
        bestJ = j;
      }
    }
  }
  const bowl = (<f32>1 - tilt) * <f32>2;
  slopeAlong = bowl * bestX + tilt * corner(bestI, bestJ, 7);
  slopeAcross = bowl * bestY + tilt * corner(bestI, bestJ, 8);
}

/** Strokes in two directions at cell coordinates (u, v), 45° to either side where cells are square. */
function crossed(turn: f32, v: f32, columns: f32, fine: f32): void {
  // a period ahead: cells are counted from zero
  const to = strokes(turn * columns + columns + v, turn * fine + fine + v * FINER, v, columns, fine, 9);
  const fro = strokes(turn * columns + columns - v, turn * fine + fine - v * FINER, v, columns, fine, 11);
  slopeAlong = (to + fro) * <f32>0.70710678;
  slopeAcross = (to - fro) * <f32>0.70710678;
}

/** Across one set of strokes, whose cells are sheared: lines of equal u run at 45°, and v goes along them. */
// @ts-ignore: decorator
@inline
function strokes(u: f32, fineU: f32, v: f32, columns: f32, fine: f32, salt: u32): f32 {
  return (
    noise(u, v * SHORTER, <i32>columns, salt) + FAINTER * noise(fineU, v * SHORTER * FINER, <i32>fine, salt + 1)
  );
}

/** Strokes in circles: the spot that was brushed last counts, of rows that are offset by half a spot. */
function circles(u: f32, v: f32, columns: i32): void {
  const fu = floor<f32>(u);
  const fv = floor<f32>(v);
  for (let b = 1; b >= -1; b--) {
    const j = <i32>fv + b;
    const y = (v - fv - <f32>b) * <f32>0.8660254;
    const shift: f32 = j & 1 ? 0.5 : 0;
    for (let a = 1; a >= -1; a--) {
      const x = u - fu - <f32>a - shift;
      const d = x * x + y * y;
      if (d > SPOT * SPOT) continue;
      const i = (<i32>fu + a + columns) % columns;
      const salt = hash((<u32>i * 0x9e3779b9) ^ hash(<u32>j * 0x85ebca6b + 13));
      const r = sqrt<f32>(d);
      const slope = noise(r * RINGS, 0, 1024, salt) + FAINTER * noise(r * RINGS * FINER, 0, 1024, salt + 1);
      const inv: f32 = r > <f32>1e-6 ? slope / r : 0;
      slopeAlong = x * inv;
      slopeAcross = y * inv;
      return;
    }
  }
  slopeAlong = 0;
  slopeAcross = 0;
}

/** Slopes of the relief of the surface record at `surface`, at the point (x, y, z) in the world. */
export function relief(surface: usize, x: f32, y: f32, z: f32): void {
  locate(surface, x, y, z);
  const p = placeX;
  const q = placeY;
  const height = placeHeight;
  const below = load<f32>(surface, RELIEF_RADIUS) - sqrt<f32>(p * p + q * q);
  // over the outside and down either flank in one go
  const across = (height + copysign<f32>(below, height)) * load<f32>(surface, RELIEF + 4);
  const columns = load<f32>(surface, RELIEF);
  const turn = turnOf(p, q);
  const tilt = load<f32>(surface, RELIEF_TILT);
  if (tilt >= 0 && tilt <= 1) {
    dents(turn * columns, across, <i32>columns, tilt);
    slopeAlong *= load<f32>(surface, RELIEF + 8);
    slopeAcross *= load<f32>(surface, RELIEF + 12);
    return;
  }
  const steepAlong = load<f32>(surface, RELIEF + 8);
  const steepAcross = load<f32>(surface, RELIEF + 12);
  const fine = floor<f32>(columns * FINER);
  if (tilt > 1) {
    if (tilt == <f32>CROSSED) crossed(turn, across, columns, fine);
    else circles(turn * columns, across, <i32>columns);
    slopeAlong *= steepAlong;
    slopeAcross *= steepAcross;
    return;
  }
  const u = turn * columns;
  const w = turn * fine;
  slopeAlong = 0;
  slopeAcross = 0;
  if (steepAlong > 0)
    slopeAlong = steepAlong * (noise(u, across, <i32>columns, 1) + FAINTER * noise(w, across * FINER, <i32>fine, 2));
  if (steepAcross > 0)
    slopeAcross = steepAcross * (noise(u, across, <i32>columns, 3) + FAINTER * noise(w, across * FINER, <i32>fine, 4));
}
