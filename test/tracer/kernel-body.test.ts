import { beforeAll, describe, expect, it } from 'vitest';
import type { Surface, TraceScene, Vec3 } from '../../pipeline/scene/trace-scene.ts';
import { albedoTable, meanAlbedo } from '../../pipeline/tracer/albedo-table.ts';
import { ALBEDO_MU, ALBEDO_TURN } from '../../pipeline/tracer/kernel/layout.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { fresnelConductor } from '../../pipeline/trade/conductor.ts';
import { bodyAlbedo, coatReflectance } from '../../pipeline/trade/matter.ts';
import { bareScene, film, kernel, meanOf, sphereMesh } from './kernel-fixture.ts';

let host: KernelHost;
beforeAll(async () => {
  host = await kernel();
});

/**
 * Share of even light that a smooth dielectric mirrors from outside: Walsh 1926 as Judd gives it, "Fresnel reflection of
 * diffusely incident light", J. Res. NBS 29, 1942 (RP1504); the usual 0.0918 outside and 0.596 within belong to an index of 1.5.
 */
function evenlyMirrored(n: number): number {
  const n2 = n * n;
  return (
    0.5 +
    ((n - 1) * (3 * n + 1)) / (6 * (n + 1) ** 2) +
    ((n2 * (n2 - 1) ** 2) / (n2 + 1) ** 3) * Math.log((n - 1) / (n + 1)) -
    (2 * n ** 3 * (n2 + 2 * n - 1)) / ((n2 + 1) * (n2 * n2 - 1)) +
    ((8 * n2 * n2 * (n2 * n2 + 1)) / ((n2 + 1) * (n2 * n2 - 1) ** 2)) * Math.log(n)
  );
}

const coated = (alphaX: number, alphaY: number, coat: number): Surface => ({
  alphaX,
  alphaY,
  metal: 0,
  axis: [0, 1, 0],
  coat,
});

const WHITE: Vec3 = [1, 1, 1];
const inside = (surface: Surface, tones: [Vec3, Vec3]): TraceScene =>
  bareScene({
    dome: new Float32Array([1, 1, 1]),
    ground: { kind: 'none', albedo: [0, 0, 0], level: 1 },
    camera: {
      eye: [0, 0, 40],
      target: [0, 0, 0],
      up: [0, 1, 0],
      fovY: 0.25,
      lensRadius: 0,
      focusDistance: 40,
    },
    mesh: sphereMesh(7, [0, 0, 0]),
    surfaces: [surface],
    colourways: [{ metals: [{ tones }], gems: [] }],
    width: 24,
    height: 24,
  });

describe('a body under a coat', () => {
  it('the coat mirrors of even light what Judd’s formula says', () => {
    expect(evenlyMirrored(1.5)).toBeCloseTo(0.0918, 4);
    expect(1 - (1 - evenlyMirrored(1.5)) / 1.5 ** 2).toBeCloseTo(0.596, 3);
    for (const index of [1.5, 1.55, 2.16]) {
      const table = albedoTable(ALBEDO_MU, ALBEDO_TURN, 1e-3, 1e-3, index);
      expect(meanAlbedo(table, ALBEDO_MU, ALBEDO_TURN)).toBeCloseTo(evenlyMirrored(index), 2);
    }
  });

  // white furnace (Heitz, JCGT 3(2), 2014, section 5): a white body gives back all light, whatever its coat
  it.each([
    [0.001, 0.001, 1.5],
    [0.015, 0.015, 2.16],
    [0.2, 0.2, 1.52],
    [0.1, 0.4, 1.5],
  ])('of α %f and %f and index %f keeps all light if it is white', (ax, ay, index) => {
    const [values] = film(host, inside(coated(ax, ay, index), [WHITE, WHITE]), 64);
    expect(Math.abs(meanOf(values) - 1)).toBeLessThan(0.006);
  });

  it('returns of a colour what Saunderson’s equation says, coat and body together', () => {
    // JOSA 32, 1942: R = F + (1 − F) (1 − Fi) ρ / (1 − ρ Fi), with 1 − Fi = (1 − Fe)/n² of a smooth surface
    const index = 1.5;
    const within = 1 - (1 - evenlyMirrored(index)) / index ** 2;
    for (const rho of [0.2, 0.5, 0.9]) {
      const body = ((1 - within) * rho) / (1 - rho * within);
      host.load(inside(coated(0.05, 0.05, index), [WHITE, WHITE]));
      const { at, values } = host.scratch(4);
      for (const cosine of [1, 0.8, 0.5]) {
        const view = [Math.sqrt(1 - cosine * cosine), 0, cosine];
        let [shine, matt] = [0, 0];
        const STEPS = 400;
        for (let i = 0; i < STEPS; i++) {
          const z = (i + 0.5) / STEPS;
          const r = Math.sqrt(1 - z * z);
          for (let j = 0; j < STEPS; j++) {
            const turn = (2 * Math.PI * (j + 0.5)) / STEPS;
            host.kernel.probeBody(0, view[0], 0, view[2], r * Math.cos(turn), r * Math.sin(turn), z, at);
            shine += values[0];
            matt += values[1];
          }
        }
        const share = (2 * Math.PI) / STEPS ** 2;
        const f = fresnelConductor(index, 0, cosine);
        expect(shine * share).toBeCloseTo(f, 2);
        expect((shine + matt * body) * share).toBeCloseTo(f + (1 - f) * body, 2);
      }
      // and a measured colour is taken apart into just that
      const f = coatReflectance(index);
      const measured = f + (1 - f) * body;
      expect(bodyAlbedo([measured, measured, measured], index)[0]).toBeCloseTo(body, 9);
    }
  });

  it('has in company the film that it has alone: colourways share paths', () => {
    const scene = inside(coated(0.2, 0.2, 1.5), [WHITE, WHITE]);
    const red = {
      metals: [
        {
          tones: [
            [0.6, 0.1, 0.1],
            [0.6, 0.1, 0.1],
          ] as [Vec3, Vec3],
        },
      ],
      gems: [],
    };
    const together = film(host, { ...scene, colourways: [...scene.colourways, red] }, 8);
    const [alone] = film(host, { ...scene, colourways: [red] }, 8);
    expect(together[1]).toEqual(alone);
    expect(meanOf(together[0])).toBeGreaterThan(meanOf(alone) + 0.3);
  });
});
