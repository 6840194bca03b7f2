import { Vector3 } from 'three';
import { fade, meanFade } from './softbox.ts';
import { groundIrradiance } from './studio.ts';
import type { GroundPaper, RectLight, Sky, TraceScene } from './trace-scene.ts';

/**
 * What a subject sees around it as one picture of all directions, for renderers that know only light at infinity.
 *
 * Lights, ground and dome as seen from one point; the subject's own shade on the ground is not in it, and glossy ground
 * counts as matt. Latitude by longitude, linear RGB: column x is the azimuth 2π (x + ½)/width − π from +x towards +z,
 * row y the elevation from straight below.
 */
export interface StudioMap {
  width: number;
  height: number;
  texels: Float32Array;
}

type Studio = Pick<TraceScene, 'lights' | 'dome' | 'sky' | 'ground'>;

/** Points of a light, along each side, by which it lights the ground. */
const CELLS = 8;

/** @param from where the subject is, mm; above the ground */
export function studioMap(studio: Studio, from: readonly [number, number, number], height = 256): StudioMap {
  const width = 2 * height;
  const texels = new Float32Array(width * height * 3);
  const rects = studio.lights.map((light) => new Rect(light));
  const eye = new Vector3(...from);
  const direction = new Vector3();
  for (let y = 0; y < height; y++) {
    const elevation = ((y + 0.5) / height - 0.5) * Math.PI;
    for (let x = 0; x < width; x++) {
      const azimuth = ((x + 0.5) / width) * 2 * Math.PI - Math.PI;
      direction.set(
        Math.cos(elevation) * Math.cos(azimuth),
        Math.sin(elevation),
        Math.cos(elevation) * Math.sin(azimuth),
      );
      texels.set(radiance(studio, rects, eye, direction), 3 * (y * width + x));
    }
  }
  return { width, height, texels };
}

function radiance(studio: Studio, rects: readonly Rect[], eye: Vector3, direction: Vector3): number[] {
  const grounded = studio.ground.kind !== 'none';
  let nearest = grounded && direction.y < 0 ? -eye.y / direction.y : Number.POSITIVE_INFINITY;
  let seen: number[] | undefined;
  for (const rect of rects) {
    const hit = rect.hit(eye, direction);
    if (!hit || hit.distance >= nearest) continue;
    nearest = hit.distance;
    seen = hit.radiance;
  }
  if (seen) return seen;
  if (!Number.isFinite(nearest)) return distant(studio, direction);
  const at = eye.clone().addScaledVector(direction, nearest);
  const paper = paperShare(studio.ground.paper, Math.hypot(at.x - eye.x, at.z - eye.z));
  const share = (paper * openShare(studio, rects)) / Math.PI;
  return irradiance(studio, rects, at).map((e, c) => share * studio.ground.albedo[c] * e);
}

/** Of the ground's albedo at a distance from the subject; the kernel's `ground-vertex.ts` has the same. */
function paperShare(paper: GroundPaper | undefined, away: number): number {
  if (!paper) return 1;
  const out = Math.min(1, Math.max(0, (away - paper.radius) / paper.fade));
  return 1 - (1 - paper.beyond) * out * out * (3 - 2 * out);
}

/** Light on level ground: of all panels, and of the upper half of the dome or sky. */
function irradiance(studio: Studio, rects: readonly Rect[], at: Vector3): number[] {
  const sum = distantIrradiance(studio).slice();
  for (const rect of rects) rect.addIrradiance(at, sum);
  return sum;
}

const opened = new WeakMap<Studio, number>();

/** What is left of the ground's light where panels hide each other and the dome: as much everywhere as under the subject. */
function openShare(studio: Studio, rects: readonly Rect[]): number {
  if (studio.sky) return 1;
  let share = opened.get(studio);
  if (share === undefined) {
    const whole = irradiance(studio, rects, new Vector3());
    const luminance = 0.2126 * whole[0] + 0.7152 * whole[1] + 0.0722 * whole[2];
    const green = [...studio.dome].filter((_, i) => i % 3 === 1);
    share = luminance > 0 ? groundIrradiance(studio.lights, green) / luminance : 1;
    opened.set(studio, share);
  }
  return share;
}

const known = new WeakMap<Studio, number[]>();

function distantIrradiance(studio: Studio): number[] {
  const done = known.get(studio);
  if (done) return done;
  const sum = [0, 0, 0];
  const n = 48;
  for (let i = 0; i < n; i++) {
    const elevation = ((i + 0.5) / n) * (Math.PI / 2);
    for (let j = 0; j < 2 * n; j++) {
      const azimuth = ((j + 0.5) / n) * Math.PI;
      const direction = new Vector3(
        Math.cos(elevation) * Math.cos(azimuth),
        Math.sin(elevation),
        Math.cos(elevation) * Math.sin(azimuth),
      );
      const share = Math.sin(elevation) * Math.cos(elevation) * (Math.PI / 2 / n) * (Math.PI / n);
      distant(studio, direction).forEach((v, c) => {
        sum[c] += v * share;
      });
    }
  }
  known.set(studio, sum);
  return sum;
}

function distant({ dome, sky }: Studio, direction: Vector3): number[] {
  if (sky) return skyAt(sky, direction);
  const x = (Math.asin(Math.max(-1, Math.min(1, direction.y))) / Math.PI + 0.5) * (dome.length / 3 - 1);
  const i = Math.min(Math.floor(x), dome.length / 3 - 2);
  return [0, 1, 2].map((c) => dome[3 * i + c] + (dome[3 * i + 3 + c] - dome[3 * i + c]) * (x - i));
}

function skyAt({ width, height, texels, turn }: Sky, { x, y, z }: Vector3): number[] {
  const across = Math.atan2(x, -z) / (2 * Math.PI) + 0.5 + turn;
  const column = Math.floor((across - Math.floor(across)) * width) % width;
  const row = Math.min(height - 1, Math.floor((Math.acos(Math.max(-1, Math.min(1, y))) / Math.PI) * height));
  return [...texels.subarray(3 * (row * width + column), 3 * (row * width + column) + 3)];
}

/** A one-sided rectangle of the studio. */
class Rect {
  readonly #light: RectLight;
  readonly #centre: Vector3;
  readonly #u: Vector3;
  readonly #v: Vector3;
  readonly #normal: Vector3;
  /** x, y, z and share of each: plain numbers, since every texel of the ground asks for all of them */
  readonly #cells: Float64Array;
  readonly #dark: boolean;
  readonly #area: number;

  constructor(light: RectLight) {
    this.#light = light;
    this.#centre = new Vector3(...light.centre);
    this.#u = new Vector3(...light.u);
    this.#v = new Vector3(...light.v);
    this.#normal = new Vector3().crossVectors(this.#u, this.#v);
    this.#area = 4 * this.#normal.length();
    this.#normal.normalize();
    this.#dark = Math.max(...light.radiance) === 0;
    const steps = Array.from({ length: CELLS }, (_, i) => (2 * i + 1) / CELLS - 1);
    const cells = steps.flatMap((s) =>
      steps.flatMap((t) => {
        const at = this.#centre.clone().addScaledVector(this.#u, s).addScaledVector(this.#v, t);
        return [at.x, at.y, at.z, cellShare(s, light.falloff) * cellShare(t, light.falloff)];
      }),
    );
    this.#cells = Float64Array.from(cells);
  }

  hit(eye: Vector3, direction: Vector3): { distance: number; radiance: number[] } | undefined {
    const towards = direction.dot(this.#normal);
    if (Math.abs(towards) < 1e-9) return undefined;
    const distance = this.#centre.clone().sub(eye).dot(this.#normal) / towards;
    if (distance <= 0) return undefined;
    const at = eye.clone().addScaledVector(direction, distance).sub(this.#centre);
    const s = at.dot(this.#u) / this.#u.lengthSq();
    const t = at.dot(this.#v) / this.#v.lengthSq();
    if (Math.abs(s) > 1 || Math.abs(t) > 1) return undefined;
    const { falloff, radiance } = this.#light;
    const share = towards < 0 ? fade(s, falloff) * fade(t, falloff) : 0;
    return { distance, radiance: radiance.map((v) => v * share) };
  }

  addIrradiance(at: Vector3, sum: number[]): void {
    if (this.#dark) return;
    const { radiance } = this.#light;
    const cells = this.#cells;
    const { x: nx, y: ny, z: nz } = this.#normal;
    const cell = this.#area / (CELLS * CELLS);
    for (let i = 0; i < cells.length; i += 4) {
      const x = cells[i] - at.x;
      const y = cells[i + 1] - at.y;
      const z = cells[i + 2] - at.z;
      const square = x * x + y * y + z * z;
      const away = Math.sqrt(square);
      const out = -(x * nx + y * ny + z * nz) / away;
      if (y <= 0 || out <= 0) continue;
      const factor = (cells[i + 3] * out * (y / away) * cell) / square;
      for (let c = 0; c < 3; c++) sum[c] += radiance[c] * factor;
    }
  }
}

/** Over one cell: its edge may be narrower than that. */
function cellShare(at: number, falloff: number): number {
  return meanFade(at - 1 / CELLS, at + 1 / CELLS, falloff);
}
