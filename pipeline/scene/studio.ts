import { Vector3 } from 'three';
import type { StudioPanel, StudioPlan } from '../plan/studio.ts';
import { type SkyMap, skyIrradiance } from './sky-map.ts';
import { meanFade } from './softbox.ts';
import type { RectLight, Sky, Vec3 } from './trace-scene.ts';

/** True reflectance of the white ground: a matt white board. Common practice. */
export const GROUND_ALBEDO = 0.8;

/** Where the lens stands as the aim point sees it: radians, mm. */
export interface LensPlace {
  azimuth: number;
  elevation: number;
  distance: number;
}

/** How much farther than the lens a panel at the lens stands, so that it never comes before it. */
const BEHIND = 1.1;

/** A panel at the lens stands behind it, enlarged so that it looks as large from the aim point as written. */
function behindLens(panel: StudioPanel, lens: LensPlace): StudioPanel {
  if (!panel.lens) return panel;
  const larger = Math.max(1, (BEHIND * lens.distance) / panel.distance);
  return {
    ...panel,
    elevation: Math.min(Math.PI / 2, lens.elevation + panel.elevation),
    distance: panel.distance * larger,
    width: panel.width * larger,
    height: panel.height * larger,
  };
}

function panelLight(written: StudioPanel, lens: LensPlace, aim: Vector3, gain: number): RectLight {
  const panel = behindLens(written, lens);
  const az = lens.azimuth + panel.azimuth;
  const el = panel.elevation;
  const toPanel = new Vector3(Math.sin(az) * Math.cos(el), Math.sin(el), Math.cos(az) * Math.cos(el));
  const centre = aim.clone().addScaledVector(toPanel, panel.distance);
  const n = toPanel.clone().negate();
  const level = Math.abs(n.y) > 0.999 ? new Vector3(-Math.sin(az), 0, -Math.cos(az)) : new Vector3(0, 1, 0);
  const v0 = level.addScaledVector(n, -level.dot(n)).normalize();
  const u0 = new Vector3().crossVectors(v0, n);
  const { tint, turn } = panel;
  const u = u0.clone().multiplyScalar(Math.cos(turn)).addScaledVector(v0, Math.sin(turn));
  const v = v0.clone().multiplyScalar(Math.cos(turn)).addScaledVector(u0, -Math.sin(turn));
  const r = panel.radiance * gain;
  return {
    centre: [centre.x, centre.y, centre.z],
    u: scaled(u, panel.width / 2),
    v: scaled(v, panel.height / 2),
    radiance: [r * tint[0], r * tint[1], r * tint[2]],
    falloff: panel.falloff,
  };
}

function scaled(a: Vector3, s: number): Vec3 {
  return [a.x * s, a.y * s, a.z * s];
}

/** Whether a rectangle stands on the way to (x, y, z) from the origin, either side of it. */
type Screen = (x: number, y: number, z: number) => boolean;

function screenOf({ centre: [cx, cy, cz], u, v }: RectLight): Screen {
  const nx = u[1] * v[2] - u[2] * v[1];
  const ny = u[2] * v[0] - u[0] * v[2];
  const nz = u[0] * v[1] - u[1] * v[0];
  const away = cx * nx + cy * ny + cz * nz;
  const [u0, u1, u2] = u;
  const [v0, v1, v2] = v;
  const long = u0 ** 2 + u1 ** 2 + u2 ** 2;
  const high = v0 ** 2 + v1 ** 2 + v2 ** 2;
  return (x, y, z) => {
    const t = away / (x * nx + y * ny + z * nz);
    if (!(t > 0 && t < 0.9999)) return false;
    const px = x * t - cx;
    const py = y * t - cy;
    const pz = z * t - cz;
    return Math.abs(px * u0 + py * u1 + pz * u2) <= long && Math.abs(px * v0 + py * v1 + pz * v2) <= high;
  };
}

/**
 * Irradiance at the origin of the ground (normal +y) from one rectangle: midpoints of cells, each as bright as its mean, but
 * for those that other rectangles hide. A faded edge lies where it counts less or more than the middle, so its share cannot
 * be taken out of the sum.
 */
function irradianceAtOrigin(light: RectLight, all: readonly RectLight[]): number {
  const luminance = 0.2126 * light.radiance[0] + 0.7152 * light.radiance[1] + 0.0722 * light.radiance[2];
  if (!(luminance > 0)) return 0;
  const others = all.filter((l) => l !== light).map(screenOf);
  const n = 48;
  const u = new Vector3(...light.u);
  const v = new Vector3(...light.v);
  const normal = new Vector3().crossVectors(u, v);
  const cell = (4 * normal.length()) / (n * n);
  normal.normalize();
  const shares = Array.from({ length: n }, (_, i) =>
    meanFade((2 * i) / n - 1, (2 * i + 2) / n - 1, light.falloff),
  );
  const p = new Vector3();
  let sum = 0;
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < n; j++) {
      p.set(...light.centre)
        .addScaledVector(u, (2 * i + 1) / n - 1)
        .addScaledVector(v, (2 * j + 1) / n - 1);
      const d2 = p.lengthSq();
      const d = Math.sqrt(d2);
      const cosLight = -p.dot(normal) / d;
      if (p.y <= 0 || cosLight <= 0 || others.some((hides) => hides(p.x, p.y, p.z))) continue;
      sum += (shares[i] * shares[j] * cosLight * (p.y / d) * cell) / d2;
    }
  }
  return sum * luminance;
}

/** Farther than any panel, mm. */
const FAR = 1e5;

/** Irradiance of the upper half of the dome, ∫∫ L(φ) sin φ cos φ dφ dα, but for what rectangles hide. */
function domeIrradiance(dome: readonly number[], lights: readonly RectLight[]): number {
  const rows = 96;
  const columns = lights.length > 0 ? 192 : 1;
  const screens = lights.map(screenOf);
  let sum = 0;
  for (let i = 0; i < rows; i++) {
    const el = ((i + 0.5) / rows) * (Math.PI / 2);
    const [across, up] = [FAR * Math.cos(el), FAR * Math.sin(el)];
    let open = 0;
    for (let j = 0; j < columns; j++) {
      const az = ((j + 0.5) / columns) * 2 * Math.PI;
      const x = across * Math.cos(az);
      const z = across * Math.sin(az);
      if (!screens.some((hides) => hides(x, up, z))) open++;
    }
    sum += (open / columns) * domeAt(dome, el) * Math.sin(el) * Math.cos(el) * (Math.PI / 2 / rows);
  }
  return 2 * Math.PI * sum;
}

/** What lights and domes came to: takes of a shape mostly stand in the same light, and measuring it takes 3 to 15 ms. */
const measured = new Map<string, number>();
const MOST_MEASURED = 64;

/** Luminance of the light that reaches level ground at the origin, from panels and dome as they hide each other. */
export function groundIrradiance(lights: readonly RectLight[], dome: readonly number[]): number {
  const key = JSON.stringify([lights, dome]);
  const known = measured.get(key);
  if (known !== undefined) return known;
  const fromPanels = lights.reduce((sum, l) => sum + irradianceAtOrigin(l, lights), 0);
  const whole = fromPanels + domeIrradiance(dome, lights);
  if (measured.size === MOST_MEASURED) measured.clear();
  measured.set(key, whole);
  return whole;
}

function domeAt(dome: readonly number[], elevation: number): number {
  const x = (elevation / Math.PI + 0.5) * (dome.length - 1);
  const i = Math.min(Math.floor(x), dome.length - 2);
  return dome[i] + (dome[i + 1] - dome[i]) * (x - i);
}

/**
 * Sets up a studio round the subject and meters it as a photographer does: lights and dome are scaled together
 * until the bare ground under the subject has the studio's stated radiance; what panels hide of each other and of the dome
 * counts, what they hide of a pictured sky does not. `map` is the decoded picture of a studio
 * whose sky is one.
 */
export function lightStudio(
  studio: StudioPlan,
  lens: LensPlace,
  aimHeight: number,
  map?: SkyMap,
): { lights: RectLight[]; dome: Float32Array; sky?: Sky } {
  if (studio.sky && !map)
    throw new RangeError(`expected the picture of the studio's sky, ${studio.sky.file}`);
  const aim = new Vector3(0, aimHeight, 0);
  const build = (gain: number) => studio.panels.map((p) => panelLight(p, lens, aim, gain));
  const pictured = studio.sky && map ? studio.sky.light * skyIrradiance(map) : 0;
  const e0 = groundIrradiance(build(1), studio.dome) + pictured;
  const gain = (studio.groundRadiance * Math.PI) / (GROUND_ALBEDO * e0);
  const n = 33;
  const dome = new Float32Array(n * 3);
  for (let i = 0; i < n; i++)
    dome.fill(gain * domeAt(studio.dome, (i / (n - 1) - 0.5) * Math.PI), 3 * i, 3 * i + 3);
  if (!studio.sky || !map) return { lights: build(gain), dome };
  // panels go round with the camera, and so does the picture
  const turn = studio.sky.turn + lens.azimuth / (2 * Math.PI);
  const brightness = gain * studio.sky.light;
  const sky = { width: map.width, height: map.height, texels: map.texels.map((v) => v * brightness), turn };
  return { lights: build(gain), dome, sky };
}
