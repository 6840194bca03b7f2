/**
 * One camera sample: the path, its colours, the ground.
 *
 * Shared paths. Nothing that decides a direction, a lobe, a roulette or a clamp depends on colour, so all colourways ride
 * on one path and each equals the same colourway traced alone. `common` is the colour-free part of the throughput; the
 * colour part per colourway (metal reflectance, absorption) lies in THROUGHPUT and is touched only when it changes.
 * While nothing has coloured a path yet (`tinted` = false) its light goes to one shared sum.
 *
 * White ground by control variate. The empty studio's irradiance E0 on the ground is known (a grid), so a ground point
 * only estimates the difference D the objects make: a ray that meets the objects contributes what they send minus what
 * the studio would have sent; one that misses contributes exactly nothing. The studio's lights are also sampled directly
 * (a blocked one counts negative) and both strategies share the lights' part by the power heuristic. The camera sees
 * level·(1 + D/E0): unshaded ground carries no noise at all. Rays aim at the objects' bounding sphere where it looks
 * small, since no other ray can contribute. A sweep is the same ground seen as it is lit, albedo/π·(E0 + D), and a glossy
 * one has a clear coat over it: the camera's ray goes both ways there, any other one picks.
 */
import {
  BOUND,
  COAT,
  COLOURWAYS,
  EYE,
  FOCUS_DISTANCE,
  FORWARD,
  GEM_BYTES,
  GEM_COLOURS_AT,
  GEMS_AT,
  GROUND_ALBEDO,
  GROUND_GLOSS,
  GROUND_KIND,
  GROUND_NONE,
  GROUND_SWEEP,
  GROUND_WHITE,
  INDICES_AT,
  LENS_RADIUS,
  LEVEL,
  METAL_COLOUR_BYTES,
  METAL_COLOURS_AT,
  NORMALS_AT,
  RELIEF,
  RIGHT,
  SKY_CHANCE,
  STONE_GEM,
  STONE_PLANE_BLOCKS,
  STONE_PLANES_AT,
  STONE_TO_WORLD,
  SUM,
  SURFACE_BYTES,
  SURFACES_AT,
  THROUGHPUT,
  TRIANGLE_SURFACE_AT,
  TRIANGLES,
  UP,
} from './layout';
import { albedo, distribution, lambda, mx, my, mz, reflectance, sampleNormal } from './metal';
import { relief, slopeAcross, slopeAlong } from './relief';
import { circle, cosine, draw, jumpTo, sine, stream, u0, u1 } from './sampling';
import { decay, fresnel, wave } from './stone';
import { sky, skyPdf } from './sky';
import {
  emitted,
  irradiance,
  lightA,
  lightB,
  lightFront,
  lightIndex,
  lightPdf,
  lightT,
  meetsCone,
  nearestLight,
  pickLight,
  sampleLight,
  toIndex,
  toPdf,
  toRadiance,
  toT,
  toX,
  toY,
  toZ,
} from './studio';
import {
  closest,
  FAR,
  faceAt,
  faceOf,
  faceT,
  hitAt,
  hitPrimitive,
  hitStone,
  hitT,
  hitU,
  hitV,
  leaveStone,
  NOTHING,
  occluded,
} from './tree';

const PI: f32 = 3.14159265358979;

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
 * without it and at 0.1, 0.2, 0.4, 0.8: 60, 40, 39, 36, 39 standing; 65, 59, 54, 51, 58 lying.
 */
const FAINT: f32 = 0.35;
/**
 * Internal reflections in one visit to a stone; no roulette, for the same reason. Energy lost by a clear brilliant in a white
 * furnace, worst of four views: index 2.42 loses 1.0 % at 48, 0.6 % at 64, 0.1 % at 128; index 2.6 1.3 %, 0.9 %, 0.15 %.
 */
const MAX_INTERNAL: i32 = 128;
/** all throughputs below this: the path can no longer be seen */
const DARK: f32 = 1e-5;
/**
 * Firefly clamp, in film units (white = 1): the most one light contribution may bring after a path has been scattered by
 * the ground or by a rough metal. Decided on the colour-free bound (every reflectance taken as 1). It takes 0.03 % of the
 * film's mean in a studio of softboxes (band, ten stones, white ground) and 0.6 % with the same power in lamps of a hundred
 * and fiftieth of the area.
 */
const CLAMP: f32 = 8;
/** number of the first random pair of the reflected branch of a split path, clear of the refracted branch's */
const SECOND_BRANCH: u32 = 24;
/** ground further out than this shows the plain level */
const HORIZON: f32 = 1e5;

let colourways: u32 = 0;
let tinted: bool = false;
let shared: v128 = f32x4.splat(0);
/** camera samples of the pixel that met no object, and the share of the ground's light that those still see */
let open: f32 = 0;
let through: f32 = 0;

/** Starts a pixel: sums to zero. */
export function clearPixel(): void {
  colourways = load<u32>(COLOURWAYS);
  shared = f32x4.splat(0);
  open = 0;
  through = 0;
  for (let c: usize = 0; c < colourways; c++) v128.store(c << 4, f32x4.splat(0), SUM);
}

/** The pixel's sum in colourway c. */
export function pixelSum(c: u32): v128 {
  return f32x4.add(v128.load(<usize>c << 4, SUM), shared);
}

/** The pixel's matte over `samples`: coverage, then what shows through of a ground that only objects darken. */
export function pixelMatte(samples: f32): v128 {
  return f32x4(samples - open, through, 0, 0);
}

/** Film luminance in shares of the level (Rec. ITU-R BT.709, item 3.2). */
function ofLevel(v: v128): f32 {
  const y =
    f32x4.extract_lane(v, 0) * <f32>0.2126 + f32x4.extract_lane(v, 1) * <f32>0.7152 + f32x4.extract_lane(v, 2) * <f32>0.0722;
  return y / load<f32>(LEVEL);
}

/** What the camera sees where there is neither object nor ground. */
function backdrop(ox: f32, oz: f32, dx: f32, dy: f32, dz: f32): v128 {
  const kind = load<u32>(GROUND_KIND);
  if (kind === GROUND_GLOSS) return sky(dx, dy, dz);
  if (kind !== GROUND_SWEEP) return splat(load<f32>(LEVEL));
  // the paper goes on upwards as it looks at the horizon, so that none is seen
  const out = HORIZON * <f32>1e3;
  return f32x4.mul(
    irradiance(ox + dx * out, oz + dz * out),
    f32x4.mul(v128.load(GROUND_ALBEDO), splat(<f32>1 / PI)),
  );
}

/** The sky's light in a direction chosen with this density, 0 for mirrors; a pictured sky shares with its own sampling. */
function fromSky(dx: f32, dy: f32, dz: f32, pdf: f32): v128 {
  const light = sky(dx, dy, dz);
  const chance = load<f32>(SKY_CHANCE);
  if (!(chance > 0 && pdf > 0)) return light;
  return f32x4.mul(light, splat(powerWeight(pdf, chance * skyPdf(dx, dy, dz))));
}

function splat(x: f32): v128 {
  return f32x4.splat(x);
}

function largest(v: v128): f32 {
  return max<f32>(max<f32>(f32x4.extract_lane(v, 0), f32x4.extract_lane(v, 1)), f32x4.extract_lane(v, 2));
}

/** Adds light on the current path to every colourway. */
function add(light: v128): void {
  if (!tinted) {
    shared = f32x4.add(shared, light);
    return;
  }
  const end: usize = <usize>colourways << 4;
  for (let c: usize = 0; c < end; c += 16) {
    v128.store(c, f32x4.add(v128.load(c, SUM), f32x4.mul(v128.load(c, THROUGHPUT), light)), SUM);
  }
}

function addClamped(light: v128, scattered: bool): void {
  add(scattered ? clamped(light) : light);
}

function clamped(light: v128): v128 {
  const most = largest(f32x4.abs(light));
  return most > CLAMP ? f32x4.mul(light, splat(CLAMP / most)) : light;
}

/** Multiplies every colourway's throughput by metal reflectance; false when all have gone dark. */
function tintByMetal(metal: u32, c5: f32, c6: f32, k: f32): bool {
  const v5 = splat(c5);
  const v6 = splat(c6);
  const vk = splat(k);
  let colour: usize = load<u32>(METAL_COLOURS_AT) + metal * colourways * METAL_COLOUR_BYTES;
  const end: usize = <usize>colourways << 4;
  let most = splat(0);
  for (let c: usize = 0; c < end; c += 16) {
    let t = reflectance(colour, v5, v6, vk);
    if (tinted) t = f32x4.mul(t, v128.load(c, THROUGHPUT));
    v128.store(c, t, THROUGHPUT);
    most = f32x4.pmax(most, t);
    colour += METAL_COLOUR_BYTES;
  }
  tinted = true;
  return largest(most) > DARK;
}

/** Beer–Lambert over `length` mm; false when all colourways have gone dark. */
function tintByGem(gem: u32, length: f32): bool {
  const path = splat(-length);
  let colour: usize = load<u32>(GEM_COLOURS_AT) + ((gem * colourways) << 4);
  const end: usize = <usize>colourways << 4;
  let most = splat(0);
  for (let c: usize = 0; c < end; c += 16) {
    let t = decay(f32x4.mul(v128.load(colour), path));
    if (tinted) t = f32x4.mul(t, v128.load(c, THROUGHPUT));
    v128.store(c, t, THROUGHPUT);
    most = f32x4.pmax(most, t);
    colour += 16;
  }
  tinted = true;
  return largest(most) > DARK;
}

/** Adds direct light reflected by metal: the current throughput times the reflectance at the half vector. */
function addMetal(metal: u32, c5: f32, c6: f32, k: f32, light: v128, scattered: bool): void {
  if (scattered) light = clamped(light);
  const v5 = splat(c5);
  const v6 = splat(c6);
  const vk = splat(k);
  let colour: usize = load<u32>(METAL_COLOURS_AT) + metal * colourways * METAL_COLOUR_BYTES;
  const end: usize = <usize>colourways << 4;
  for (let c: usize = 0; c < end; c += 16) {
    let t = f32x4.mul(reflectance(colour, v5, v6, vk), light);
    if (tinted) t = f32x4.mul(t, v128.load(c, THROUGHPUT));
    v128.store(c, f32x4.add(v128.load(c, SUM), t), SUM);
    colour += METAL_COLOUR_BYTES;
  }
}

function powerWeight(a: f32, b: f32): f32 {
  const r = b / a;
  return <f32>1 / (<f32>1 + r * r);
}

/** Offset that clears the rounding of a point at this place: 2⁻¹⁷ of its largest coordinate, at least 15 nm. */
function clearance(x: f32, y: f32, z: f32): f32 {
  return max<f32>(max<f32>(abs<f32>(x), abs<f32>(y)), max<f32>(abs<f32>(z), 2)) * <f32>7.62939453125e-6;
}

/** Traces one sample of the pixel and adds it to the pixel's sums. */
export function trace(pixelX: f32, pixelY: f32, filterX: f32, filterY: f32, width: f32, height: f32): void {
  tinted = false;
  /* ---- camera ---- */
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
  let inv = <f32>1 / sqrt<f32>(dx * dx + dy * dy + dz * dz);
  dx *= inv;
  dy *= inv;
  dz *= inv;

  const triangles = load<u32>(TRIANGLES);
  const groundKind = load<u32>(GROUND_KIND);
  const hasGround = groundKind !== GROUND_NONE;
  let common = splat(1);
  /** density of the last scattering direction, 0 for mirrors and refraction: the light then counts in full */
  let pdf: f32 = 0;
  let camera = true;
  let fromGround = false;
  /** the ground under this path is the one the camera sees */
  let firstGround = false;
  /** the ground or a rough metal has scattered this path */
  let scattered = false;
  /** wavelength in µm once a dispersive stone has picked one, else 0 */
  let wavelength: f32 = 0;
  let vertices = 0;

  /** reflected branch of a path split at the first stone */
  let pending = false;
  let secondX: f32 = 0;
  let secondY: f32 = 0;
  let secondZ: f32 = 0;
  let secondDx: f32 = 0;
  let secondDy: f32 = 0;
  let secondDz: f32 = 0;
  let secondShare: f32 = 0;

  while (true) {
    while (true) {
      /* ---- what comes next along the ray ---- */
      let tmax = FAR;
      if (!camera) {
        nearestLight(ox, oy, oz, dx, dy, dz, FAR);
        tmax = lightT;
      }
      let ground = false;
      if (hasGround && dy < 0 && oy > 0) {
        const t = -oy / dy;
        if (t < tmax) {
          tmax = t;
          ground = true;
        }
      }
      closest(ox, oy, oz, dx, dy, dz, tmax);

      if (hitPrimitive === NOTHING && !ground) {
        if (camera) {
          open += 1;
          through += 1;
          add(backdrop(ox, oz, dx, dy, dz));
        } else if (fromGround) {
          // the studio as it would be without the objects: no difference
        } else if (lightIndex < 0) {
          addClamped(f32x4.mul(common, fromSky(dx, dy, dz, pdf)), scattered);
        } else if (lightFront) {
          let light = f32x4.mul(common, emitted(lightIndex, lightA, lightB));
          if (pdf > 0) light = f32x4.mul(light, splat(powerWeight(pdf, lightPdf(lightIndex, ox, oy, oz, dx, dy, dz, lightT))));
          addClamped(light, scattered);
        }
        break;
      }

      if (fromGround) {
        // something stands before the studio: take away what the studio would have sent
        fromGround = false;
        let less = splat(0);
        if (lightIndex < 0) {
          less = clamped(f32x4.neg(f32x4.mul(common, fromSky(dx, dy, dz, pdf))));
        } else if (lightFront) {
          const w = powerWeight(pdf, lightPdf(lightIndex, ox, oy, oz, dx, dy, dz, lightT));
          less = clamped(f32x4.mul(f32x4.mul(common, emitted(lightIndex, lightA, lightB)), splat(-w)));
        }
        add(less);
        if (firstGround) through += ofLevel(less);
      }

      if (++vertices > MAX_VERTICES) break;
      if (vertices > ROULETTE_FROM && vertices <= ROULETTE_FROM + ROULETTE_FOR) {
        if (stream() >= KEEP) break;
        common = f32x4.mul(common, splat(<f32>1 / KEEP));
      }
      if (!camera) {
        const carried = largest(common);
        if (carried < FAINT) {
          if (stream() * FAINT >= carried) break;
          common = f32x4.mul(common, splat(FAINT / carried));
        }
      }

      if (hitPrimitive === NOTHING) {
        /* ---- ground ---- */
        const px = ox + dx * tmax;
        const pz = oz + dz * tmax;
        const level = load<f32>(LEVEL);
        const far = !(abs<f32>(px) + abs<f32>(pz) < HORIZON);
        const e0 = irradiance(px, pz);
        let k: v128;
        firstGround = camera;
        if (camera) {
          open += 1;
          through += 1;
        }
        if (groundKind === GROUND_GLOSS) {
          const f = fresnel(-dy, load<f32>(COAT));
          if (camera) {
            pending = true;
            secondShare = f;
            secondX = px;
            secondY = clearance(px, 0, pz);
            secondZ = pz;
            secondDx = dx;
            secondDy = -dy;
            secondDz = dz;
            common = splat(<f32>1 - f);
          } else {
            // mostly the mirror: the dark body has little to give, and a coat picked as seldom as it reflects would bring
            // a light's whole brightness in every twentieth path or so
            const body = (<f32>1 - f) * largest(v128.load(GROUND_ALBEDO));
            const chance = f / (f + body);
            if (stream() >= chance) {
              common = f32x4.mul(common, splat((<f32>1 - f) / (<f32>1 - chance)));
            } else {
              common = f32x4.mul(common, splat(f / chance));
              ox = px;
              oy = clearance(px, 0, pz);
              oz = pz;
              dy = -dy;
              pdf = 0;
              continue;
            }
          }
        }
        if (camera && groundKind === GROUND_WHITE) {
          add(splat(level));
          // channels nobody lights have no ratio and stay at the level
          k = v128.bitselect(f32x4.div(splat(level), e0), splat(0), f32x4.gt(e0, splat(1e-9)));
        } else {
          k = f32x4.mul(common, f32x4.mul(v128.load(GROUND_ALBEDO), splat(<f32>1 / PI)));
          addClamped(f32x4.mul(k, e0), scattered);
        }
        if (far || !(largest(k) > 0)) break;
        camera = false;
        scattered = true;
        ox = px;
        oy = clearance(px, 0, pz);
        oz = pz;

        // aim: the bounding sphere's cone, or the cosine where one stands close to it
        const bx = load<f32>(BOUND) - ox;
        const by = load<f32>(BOUND + 4) - oy;
        const bz = load<f32>(BOUND + 8) - oz;
        const b2 = bx * bx + by * by + bz * bz;
        const r2 = load<f32>(BOUND + 12) * load<f32>(BOUND + 12);
        let slice: f32 = 2; // 1 − cosine of the cone's half angle
        if (b2 > r2) {
          const s2 = r2 / b2;
          slice = s2 / (<f32>1 + sqrt<f32>(<f32>1 - s2));
        }
        const cone = slice < <f32>0.5;
        const conePdf: f32 = <f32>1 / (<f32>2 * PI * slice);

        draw();
        // a light that the cone of the objects can't meet is not worth sampling: nothing can block it
        const hopeless = cone && u0 < <f32>1 - load<f32>(SKY_CHANCE) && !meetsCone(pickLight(u0), ox, oy, oz, bx, by, bz, b2, slice);
        if (!hopeless && sampleLight(ox, oy, oz, u0, u1) && toY > 0) {
          const light = f32x4.mul(k, f32x4.mul(toRadiance, splat(toY / toPdf)));
          let other = toY * (<f32>1 / PI);
          if (cone) {
            const along = toX * bx + toY * by + toZ * bz;
            other = along > (<f32>1 - slice) * sqrt<f32>(b2) ? conePdf : 0;
          }
          // outside the cone nothing can block
          if ((!cone || other > 0) && occluded(ox, oy, oz, toX, toY, toZ, toT)) {
            const w = powerWeight(toPdf, other);
            const index = toIndex;
            nearestLight(ox, oy, oz, toX, toY, toZ, toT * <f32>0.9999);
            if (lightIndex < 0 || lightIndex === index) {
              const less = clamped(f32x4.mul(light, splat(-w)));
              add(less);
              if (firstGround) through += ofLevel(less);
            }
          }
        }
        draw();
        if (cone) {
          const h = slice * u0;
          const ct = <f32>1 - h;
          const st = sqrt<f32>(max<f32>(h * (<f32>2 - h), 0));
          const bl = <f32>1 / sqrt<f32>(b2);
          const zx = bx * bl;
          const zy = by * bl;
          const zz = bz * bl;
          circle(u1);
          frame(zx, zy, zz);
          dx = zx * ct + st * (cosine * tx + sine * bix);
          dy = zy * ct + st * (cosine * ty + sine * biy);
          dz = zz * ct + st * (cosine * tz + sine * biz);
          if (dy <= 0) break;
          pdf = conePdf;
        } else {
          circle(u1);
          const r = sqrt<f32>(u0);
          dx = r * cosine;
          dz = r * sine;
          dy = sqrt<f32>(<f32>1 - u0);
          if (dy <= 0) break;
          pdf = dy * (<f32>1 / PI);
        }
        common = f32x4.mul(k, splat(dy / pdf));
        fromGround = true;
        continue;
      }

      if (hitPrimitive < triangles) {
        /* ---- metal ---- */
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
        if (!(wg > 0)) break; // inside of a solid: nothing comes from there
        inv = <f32>1 / sqrt<f32>(gx * gx + gy * gy + gz * gz);
        gx *= inv;
        gy *= inv;
        gz *= inv;
        // from the triangle, not along the ray: the error then doesn't grow with the camera's distance
        const px = load<f32>(at) + hitU * e1x + hitV * e2x;
        const py = load<f32>(at, 16) + hitU * e1y + hitV * e2y;
        const pz = load<f32>(at, 32) + hitU * e1z + hitV * e2z;
        const surface: usize = load<u32>(SURFACES_AT) + <u32>load<u16>(load<u32>(TRIANGLE_SURFACE_AT) + (hitPrimitive << 1)) * SURFACE_BYTES;
        interpolateNormal(hitPrimitive, hitU, hitV, gx, gy, gz);
        if (load<f32>(surface, RELIEF) > 0) {
          relief(surface, px, py, pz);
          frameAlong(normalX, normalY, normalZ, load<f32>(surface, 20), load<f32>(surface, 24), load<f32>(surface, 28));
          normalX -= slopeAlong * tx + slopeAcross * bix;
          normalY -= slopeAlong * ty + slopeAcross * biy;
          normalZ -= slopeAlong * tz + slopeAcross * biz;
          inv = <f32>1 / sqrt<f32>(normalX * normalX + normalY * normalY + normalZ * normalZ);
          normalX *= inv;
          normalY *= inv;
          normalZ *= inv;
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
        const lo = lambda(wx, wy, wz, ax, ay);
        const e = albedo(load<u32>(surface, 16), wx, wy, wz);
        const back = (<f32>1 - e) / e;
        const eps = clearance(px, py, pz);
        ox = px + gx * eps;
        oy = py + gy * eps;
        oz = pz + gz * eps;
        camera = false;

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
              const light = f32x4.mul(f32x4.mul(common, toRadiance), splat(f));
              if (largest(light) > <f32>1e-7) {
                const dist = toT;
                const index = toIndex;
                const qx = toX;
                const qy = toY;
                const qz = toZ;
                nearestLight(ox, oy, oz, qx, qy, qz, dist * <f32>0.9999);
                // ground can't come between: lights lie above it, or their part below it is dark
                const below = hasGround && oy + qy * dist < 0;
                if (!below && (lightIndex < 0 || lightIndex === index) && !occluded(ox, oy, oz, qx, qy, qz, dist)) {
                  const c = max<f32>(<f32>1 - (hx * wx + hy * wy + hz * wz), 0);
                  const c2 = c * c;
                  const c5 = c2 * c2 * c;
                  addMetal(metal, c5, (<f32>1 - c) * c5 * c, back, light, scattered);
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
        if (!(iz > 0)) break;
        dx = ix * t0 + iy * b0 + iz * nx;
        dy = ix * t1 + iy * b1 + iz * ny;
        dz = ix * t2 + iy * b2 + iz * nz;
        const under = dx * gx + dy * gy + dz * gz;
        if (under <= 0) {
          // a mirror's thin lobe is folded back over the true surface; a rough one's part below it counts as lost
          if (!mirror) break;
          dx -= <f32>2 * under * gx;
          dy -= <f32>2 * under * gy;
          dz -= <f32>2 * under * gz;
        }
        inv = <f32>1 / sqrt<f32>(dx * dx + dy * dy + dz * dz);
        dx *= inv;
        dy *= inv;
        dz *= inv;
        const li = lambda(ix, iy, iz, ax, ay);
        common = f32x4.mul(common, splat((<f32>1 + lo) / (<f32>1 + lo + li)));
        const c = max<f32>(<f32>1 - wh, 0);
        const c2 = c * c;
        const c5 = c2 * c2 * c;
        if (!tintByMetal(metal, c5, (<f32>1 - c) * c5 * c, back)) break;
        if (mirror) {
          pdf = 0;
        } else {
          pdf = distribution(hx, hy, hz, ax, ay) / ((<f32>1 + lo) * <f32>4 * wz);
          scattered = true;
        }
        continue;
      }

      /* ---- stone ---- */
      const stone: usize = hitStone;
      const planes: usize = load<u32>(stone, STONE_PLANES_AT);
      const blocks = load<u32>(stone, STONE_PLANE_BLOCKS);
      const gem = load<u32>(stone, STONE_GEM);
      const optics: usize = load<u32>(GEMS_AT) + gem * GEM_BYTES;
      let lx = load<f32>(stone) * ox + load<f32>(stone, 4) * oy + load<f32>(stone, 8) * oz + load<f32>(stone, 12);
      let ly = load<f32>(stone, 16) * ox + load<f32>(stone, 20) * oy + load<f32>(stone, 24) * oz + load<f32>(stone, 28);
      let lz = load<f32>(stone, 32) * ox + load<f32>(stone, 36) * oy + load<f32>(stone, 40) * oz + load<f32>(stone, 44);
      let ex = load<f32>(stone) * dx + load<f32>(stone, 4) * dy + load<f32>(stone, 8) * dz;
      let ey = load<f32>(stone, 16) * dx + load<f32>(stone, 20) * dy + load<f32>(stone, 24) * dz;
      let ez = load<f32>(stone, 32) * dx + load<f32>(stone, 36) * dy + load<f32>(stone, 40) * dz;
      faceOf(planes, blocks, lx, ly, lz, ex, ey, ez);
      lx += ex * faceT;
      ly += ey * faceT;
      lz += ez * faceT;
      let nx = load<f32>(faceAt);
      let ny = load<f32>(faceAt, 16);
      let nz = load<f32>(faceAt, 32);
      // back onto the plane: the ray's error grows with its length
      let off = load<f32>(faceAt, 48) - (nx * lx + ny * ly + nz * lz);
      lx += nx * off;
      ly += ny * off;
      lz += nz * off;
      let cosine0 = -(ex * nx + ey * ny + ez * nz);
      let index = load<f32>(optics, 8);
      if (wavelength > 0) index = load<f32>(optics) + load<f32>(optics, 4) / (wavelength * wavelength);
      const f = fresnel(cosine0, <f32>1 / index);
      draw();
      let reflects = false;
      if (camera) {
        // both ways at the first stone the camera sees; the reflected one waits. On a stone filling the frame: 36 % less
        // variance for 9 % more time than choosing one
        pending = true;
        secondShare = f;
        const rx = ex + <f32>2 * cosine0 * nx;
        const ry = ey + <f32>2 * cosine0 * ny;
        const rz = ez + <f32>2 * cosine0 * nz;
        toWorld(stone, lx, ly, lz, rx, ry, rz, nx, ny, nz);
        secondX = worldX;
        secondY = worldY;
        secondZ = worldZ;
        secondDx = worldDx;
        secondDy = worldDy;
        secondDz = worldDz;
        common = splat(<f32>1 - f);
        camera = false;
      } else {
        reflects = u0 < f;
      }
      pdf = 0;
      if (reflects) {
        ex += <f32>2 * cosine0 * nx;
        ey += <f32>2 * cosine0 * ny;
        ez += <f32>2 * cosine0 * nz;
        toWorld(stone, lx, ly, lz, ex, ey, ez, nx, ny, nz);
      } else {
        if (load<f32>(optics, 4) > 0 && wavelength === 0) {
          const w = wave(u1);
          wavelength = f32x4.extract_lane(w, 3);
          common = f32x4.mul(common, w);
          index = load<f32>(optics) + load<f32>(optics, 4) / (wavelength * wavelength);
        }
        let ratio = <f32>1 / index;
        const ci = sqrt<f32>(max<f32>(<f32>1 - ratio * ratio * (<f32>1 - cosine0 * cosine0), 0));
        let bend = ratio * cosine0 - ci;
        ex = ratio * ex + bend * nx;
        ey = ratio * ey + bend * ny;
        ez = ratio * ez + bend * nz;

        let length: f32 = 0;
        let lost = false;
        let bounce = 0;
        draw();
        while (true) {
          leaveStone(planes, blocks, lx, ly, lz, ex, ey, ez);
          length += faceT;
          lx += ex * faceT;
          ly += ey * faceT;
          lz += ez * faceT;
          nx = load<f32>(faceAt);
          ny = load<f32>(faceAt, 16);
          nz = load<f32>(faceAt, 32);
          off = load<f32>(faceAt, 48) - (nx * lx + ny * ly + nz * lz);
          lx += nx * off;
          ly += ny * off;
          lz += nz * off;
          cosine0 = ex * nx + ey * ny + ez * nz;
          const r = fresnel(cosine0, index);
          if (r < 1) {
            const u = bounce === 0 ? u0 : bounce === 1 ? u1 : stream();
            if (u >= r) break;
          }
          ex -= <f32>2 * cosine0 * nx;
          ey -= <f32>2 * cosine0 * ny;
          ez -= <f32>2 * cosine0 * nz;
          inv = <f32>1.5 - <f32>0.5 * (ex * ex + ey * ey + ez * ez);
          ex *= inv;
          ey *= inv;
          ez *= inv;
          if (++bounce >= MAX_INTERNAL) {
            lost = true;
            break;
          }
        }
        if (lost) break;
        if (load<f32>(optics, 12) > 0 && !tintByGem(gem, length)) break;
        const co = sqrt<f32>(max<f32>(<f32>1 - index * index * (<f32>1 - cosine0 * cosine0), 0));
        bend = co - index * cosine0;
        ex = index * ex + bend * nx;
        ey = index * ey + bend * ny;
        ez = index * ez + bend * nz;
        toWorld(stone, lx, ly, lz, ex, ey, ez, nx, ny, nz);
      }
      ox = worldX;
      oy = worldY;
      oz = worldZ;
      dx = worldDx;
      dy = worldDy;
      dz = worldDz;
    }

    if (!pending) return;
    pending = false;
    tinted = false;
    camera = false;
    fromGround = false;
    firstGround = false;
    scattered = false;
    wavelength = 0;
    vertices = 1;
    pdf = 0;
    common = splat(secondShare);
    ox = secondX;
    oy = secondY;
    oz = secondZ;
    dx = secondDx;
    dy = secondDy;
    dz = secondDz;
    jumpTo(SECOND_BRANCH);
  }
}

/** results of `frame` and `frameAlong`: tangent and bitangent */
let tx: f32 = 0;
let ty: f32 = 0;
let tz: f32 = 0;
let bix: f32 = 0;
let biy: f32 = 0;
let biz: f32 = 0;

/** Any frame about a unit vector (Duff et al., "Building an Orthonormal Basis, Revisited", JCGT 6(1), 2017). */
function frame(x: f32, y: f32, z: f32): void {
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
function frameAlong(x: f32, y: f32, z: f32, ax: f32, ay: f32, az: f32): void {
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
let normalX: f32 = 0;
let normalY: f32 = 0;
let normalZ: f32 = 0;

/** The corners' normals between them; the true normal g where they cancel out. */
function interpolateNormal(id: u32, u: f32, v: f32, gx: f32, gy: f32, gz: f32): void {
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

/**
 * The normal, bent just enough that the mirror direction leaves the true surface: where it would dip below, the mirror
 * direction is lifted to a small angle above it and the normal becomes the half vector. So grazing views of a tessellated
 * curve neither turn black nor look into the solid. `wg` is the cosine to the true normal g.
 */
function liftMirror(dx: f32, dy: f32, dz: f32, gx: f32, gy: f32, gz: f32, wg: f32): void {
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

/** results of `toWorld` */
let worldX: f32 = 0;
let worldY: f32 = 0;
let worldZ: f32 = 0;
let worldDx: f32 = 0;
let worldDy: f32 = 0;
let worldDz: f32 = 0;

/** A ray leaving a stone's surface, from local to world, its origin moved clear along the facet's normal. */
function toWorld(stone: usize, x: f32, y: f32, z: f32, dx: f32, dy: f32, dz: f32, nx: f32, ny: f32, nz: f32): void {
  const m = stone + STONE_TO_WORLD;
  const a0 = load<f32>(m);
  const a1 = load<f32>(m, 4);
  const a2 = load<f32>(m, 8);
  const b0 = load<f32>(m, 16);
  const b1 = load<f32>(m, 20);
  const b2 = load<f32>(m, 24);
  const c0 = load<f32>(m, 32);
  const c1 = load<f32>(m, 36);
  const c2 = load<f32>(m, 40);
  worldX = a0 * x + a1 * y + a2 * z + load<f32>(m, 12);
  worldY = b0 * x + b1 * y + b2 * z + load<f32>(m, 28);
  worldZ = c0 * x + c1 * y + c2 * z + load<f32>(m, 44);
  const eps = clearance(worldX, worldY, worldZ);
  worldX += eps * (a0 * nx + a1 * ny + a2 * nz);
  worldY += eps * (b0 * nx + b1 * ny + b2 * nz);
  worldZ += eps * (c0 * nx + c1 * ny + c2 * nz);
  const wx = a0 * dx + a1 * dy + a2 * dz;
  const wy = b0 * dx + b1 * dy + b2 * dz;
  const wz = c0 * dx + c1 * dy + c2 * dz;
  const inv = <f32>1 / sqrt<f32>(wx * wx + wy * wy + wz * wz);
  worldDx = wx * inv;
  worldDy = wy * inv;
  worldDz = wz * inv;
}
