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

/**
 * Irradiance at the origin of the ground (normal +y) from one rectangle: midpoints of cells, each as bright as its mean.
 * A faded edge lies where it counts less or more than the middle, so its share cannot be taken out of the sum.
 */
function irradianceAtOrigin(light: RectLight): number {
  const n = 24;
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
      if (p.y > 0 && cosLight > 0) sum += (shares[i] * shares[j] * cosLight * (p.y / d) * cell) / d2;
    }
  }
  const luminance = 0.2126 * light.radiance[0] + 0.7152 * light.radiance[1] + 0.0722 * light.radiance[2];
  return sum * luminance;
}

/** Irradiance of the upper half of the dome: 2π ∫ L(φ) sin φ cos φ dφ. */
function domeIrradiance(dome: readonly number[]): number {
  const n = 256;
  let sum = 0;
  for (let i = 0; i < n; i++) {
    const el = ((i + 0.5) / n) * (Math.PI / 2);
    sum += domeAt(dome, el) * Math.sin(el) * Math.cos(el) * (Math.PI / 2 / n);
  }
  return 2 * Math.PI * sum;
}

function domeAt(dome: readonly number[], elevation: number): number {
  const x = (elevation / Math.PI + 0.5) * (dome.length - 1);
  const i = Math.min(Math.floor(x), dome.length - 2);
  return dome[i] + (dome[i + 1] - dome[i]) * (x - i);
}

/**
 * Sets up a studio round the subject and meters it as a photographer does: lights and dome are scaled together
 * until the bare ground under the subject has the studio's stated radiance. `map` is the decoded picture of a studio
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
  const e0 =
    build(1).reduce((sum, l) => sum + irradianceAtOrigin(l), 0) + domeIrradiance(studio.dome) + pictured;
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
