/**
 * One camera sample: the path from lens to light.
 *
 * Shared paths. Nothing that decides a direction, a lobe, a roulette or a clamp depends on colour, so all colourways ride
 * on one path and each equals the same colourway traced alone. `Path.common` is the colour-free part of the throughput;
 * the colour part lies in colours.ts.
 */
import { add, addClamped, largest, splat } from './colours';
import { backdrop, meetGround, takeStudioAway } from './ground-vertex';
import {
  EYE,
  FOCUS_DISTANCE,
  FORWARD,
  GROUND_KIND,
  GROUND_NONE,
  LENS_RADIUS,
  RIGHT,
  TRIANGLES,
  UP,
} from './layout';
import { seeThrough } from './matte';
import { meetMetal } from './metal-vertex';
import { Path, startPath, takeBranch, takeWaveLeft } from './path-state';
import { circle, cosine, draw, powerWeight, sine, stream, u0, u1 } from './sampling';
import { fromSky } from './sky';
import { enterAgain, meetStone } from './stone-vertex';
import { emitted, lightA, lightB, lightFront, lightIndex, lightPdf, lightT, nearestLight } from './studio';
import { closest, FAR, hitPrimitive, NOTHING } from './tree';

/**
 * Surface vertices a path may have. Roulette cannot look at colour (all colourways share it), so it must not run for long
 * either: a survivor's weight grows without its reflectance shrinking in step. It runs for ROULETTE_FOR vertices and
 * multiplies by 3.7 at most. (Endless roulette was tried: survivors 600 times too heavy left single black and white
 * pixels around stones.)
 */
const MAX_VERTICES: i32 = 32;
const ROULETTE_FROM: i32 = 8;
const ROULETTE_FOR: i32 = 8;
const KEEP: f32 = 0.85;
/**
 * Paths whose colour-free throughput falls below this go on with that chance in proportion: mostly rays that the ground
 * sends back to the objects, time and again. Measured on a band with 39 stones, 16 samples a pixel, time × variance
 * without it and at 0.1, 0.2, 0.4, 0.8: 60, 40, 39, 36, 39 standing; 65, 59, 54, 51, 58 lying. A branch counts from the share
 * it began with: what dark gloss mirrors had 115 times the variance while a tenth of the light was faint from the start.
 */
const FAINT: f32 = 0.35;

/** Traces one sample of the pixel and adds it to the pixel's sums. */
export function trace(pixelX: f32, pixelY: f32, filterX: f32, filterY: f32, width: f32, height: f32): void {
  startAtLens(pixelX, pixelY, filterX, filterY, width, height);
  follow(0);
  while (takeWaveLeft()) if (enterAgain()) follow(1);
  if (takeBranch()) follow(1);
}

/** Starts a path through a place of the pixel and one of the lens. */
export function startAtLens(pixelX: f32, pixelY: f32, filterX: f32, filterY: f32, width: f32, height: f32): void {
  const sx = ((pixelX + <f32>0.5 + filterX) / width) * <f32>2 - <f32>1;
  const sy = <f32>1 - ((pixelY + <f32>0.5 + filterY) / height) * <f32>2;
  let dx = load<f32>(FORWARD) + sx * load<f32>(RIGHT) + sy * load<f32>(UP);
  let dy = load<f32>(FORWARD + 4) + sx * load<f32>(RIGHT + 4) + sy * load<f32>(UP + 4);
  let dz = load<f32>(FORWARD + 8) + sx * load<f32>(RIGHT + 8) + sy * load<f32>(UP + 8);
  let ox = load<f32>(EYE);
  let oy = load<f32>(EYE + 4);
  let oz = load<f32>(EYE + 8);
  const lens = load<f32>(LENS_RADIUS);
  if (lens > 0) {
    draw();
    circle(u0);
    const focus = load<f32>(FOCUS_DISTANCE);
    const r = lens * sqrt<f32>(u1);
    // RIGHT and UP carry the half-frame's size, stored inverse in their fourth lane
    const a = r * cosine * load<f32>(RIGHT + 12);
    const b = r * sine * load<f32>(UP + 12);
    const lx = a * load<f32>(RIGHT) + b * load<f32>(UP);
    const ly = a * load<f32>(RIGHT + 4) + b * load<f32>(UP + 4);
    const lz = a * load<f32>(RIGHT + 8) + b * load<f32>(UP + 8);
    dx = dx * focus - lx;
    dy = dy * focus - ly;
    dz = dz * focus - lz;
    ox += lx;
    oy += ly;
    oz += lz;
  }
  const inv = <f32>1 / sqrt<f32>(dx * dx + dy * dy + dz * dz);
  startPath(ox, oy, oz, dx * inv, dy * inv, dz * inv);
}

/** Follows the path to its end, `vertices` of it being behind it. */
function follow(vertices: i32): void {
  const triangles = load<u32>(TRIANGLES);
  const hasGround = load<u32>(GROUND_KIND) !== GROUND_NONE;
  while (true) {
    let tmax = FAR;
    if (!Path.camera) {
      nearestLight(Path.ox, Path.oy, Path.oz, Path.dx, Path.dy, Path.dz, FAR);
      tmax = lightT;
    }
    let ground = false;
    if (hasGround && Path.dy < 0 && Path.oy > 0) {
      const t = -Path.oy / Path.dy;
      if (t < tmax) {
        tmax = t;
        ground = true;
      }
    }
    closest(Path.ox, Path.oy, Path.oz, Path.dx, Path.dy, Path.dz, tmax);

    if (hitPrimitive === NOTHING && !ground) {
      meetStudio();
      return;
    }
    if (Path.fromGround) takeStudioAway();

    if (++vertices > MAX_VERTICES) return;
    if (vertices > ROULETTE_FROM && vertices <= ROULETTE_FROM + ROULETTE_FOR) {
      if (stream() >= KEEP) return;
      Path.common = f32x4.mul(Path.common, splat(<f32>1 / KEEP));
    }
    if (!Path.camera) {
      const carried = largest(Path.common);
      const faint = FAINT * Path.share;
      if (carried < faint) {
        if (stream() * faint >= carried) return;
        Path.common = f32x4.mul(Path.common, splat(faint / carried));
      }
    }

    if (hitPrimitive === NOTHING) {
      if (!meetGround(tmax)) return;
    } else if (hitPrimitive < triangles) {
      if (!meetMetal()) return;
    } else if (!meetStone()) return;
  }
}

/** The path ends in the studio: at a light, in the sky, or where the camera looks past everything. */
function meetStudio(): void {
  if (Path.camera) {
    seeThrough();
    add(backdrop());
    return;
  }
  // the studio as it would be without the objects: no difference
  if (Path.fromGround) return;
  if (lightIndex < 0) {
    addClamped(f32x4.mul(Path.common, fromSky(Path.dx, Path.dy, Path.dz, Path.pdf)), Path.scattered);
  } else if (lightFront) {
    let light = f32x4.mul(Path.common, emitted(lightIndex, lightA, lightB));
    if (Path.pdf > 0) {
      const other = lightPdf(lightIndex, Path.ox, Path.oy, Path.oz, Path.dx, Path.dy, Path.dz, lightT);
      light = f32x4.mul(light, splat(powerWeight(Path.pdf, other)));
    }
    addClamped(light, Path.scattered);
  }
}
