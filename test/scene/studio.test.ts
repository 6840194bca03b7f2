import { describe, expect, it } from 'vitest';
import type { StudioPanel } from '../../pipeline/plan/studio.ts';
import { GROUND_ALBEDO, type LensPlace, lightStudio } from '../../pipeline/scene/studio.ts';
import type { RectLight } from '../../pipeline/scene/trace-scene.ts';
import { config, planOf } from '../plan/workspace.ts';

const lens = (azimuth: number): LensPlace => ({ azimuth, elevation: 0.4, distance: 90 });

describe('lightStudio', () => {
  it('meters a uniform dome: E = πL, so the ground shows albedo × L (Lambert, closed form)', () => {
    const { dome } = lightStudio({ panels: [], dome: [1, 1], groundRadiance: 0.4 }, lens(0), 10);
    expect(dome[0]).toBeCloseTo(0.4 / GROUND_ALBEDO, 4);
  });

  it('meters an overhead square panel: form factor of a parallel square to a point below its centre', () => {
    // Howell, A Catalog of Radiation Heat Transfer Configuration Factors, B-3 taken four times: a = 30, h = 100
    const a = 30;
    const h = 100;
    const corner = (x: number) =>
      (1 / (2 * Math.PI)) * 2 * ((x / Math.hypot(1, x)) * Math.atan(x / Math.hypot(1, x)));
    const factor = 4 * corner(a / h);
    const panel: StudioPanel = {
      azimuth: 0,
      elevation: Math.PI / 2,
      distance: h,
      width: 2 * a,
      height: 2 * a,
      radiance: 5,
      tint: [1, 1, 1],
      falloff: 0,
      turn: 0,
    };
    const { lights } = lightStudio({ panels: [panel], dome: [0, 0], groundRadiance: 0.8 }, lens(0), 0);
    // ground radiance = albedo · L · F
    expect(GROUND_ALBEDO * lights[0].radiance[0] * factor).toBeCloseTo(0.8, 3);
  });

  // a whole softbox above, one at the side that comes near the ground, a narrow strip turned about its line of sight
  const places: [string, Partial<StudioPanel>][] = [
    ['above', { elevation: Math.PI / 2, distance: 80, width: 120, height: 160 }],
    ['beside', { elevation: 0.6, distance: 90, width: 150, height: 90 }],
    ['a strip', { elevation: 0.4, distance: 70, width: 20, height: 110, turn: 0.7 }],
  ];
  it.each(places.flatMap(([where, change]) => [0, 0.1, 0.5, 1].map((f) => [where, f, change] as const)))(
    'meters a panel %s that fades by %f as a fine quadrature of its own has it',
    (_, falloff, change) => {
      const panel = {
        azimuth: 0.5,
        tint: [1, 1, 1],
        radiance: 5,
        turn: 0,
        ...change,
        falloff,
      } as StudioPanel;
      const { lights } = lightStudio({ panels: [panel], dome: [0, 0], groundRadiance: 0.8 }, lens(0.3), 0);
      const shown = (GROUND_ALBEDO / Math.PI) * quadrature(lights[0]);
      expect(Math.abs(shown / 0.8 - 1)).toBeLessThan(0.002);
    },
  );

  it('faces every panel at the subject and keeps its edges square', async () => {
    for (const name of ['soft-tent', 'side-window', 'edge-strips', 'pin-lights', 'dusk']) {
      const { plan } = await planOf(config({ lights: `lights: ${name}` }));
      for (const l of lightStudio(plan.shots[0].studio, lens(0.4), 10).lights) {
        const n = [
          l.u[1] * l.v[2] - l.u[2] * l.v[1],
          l.u[2] * l.v[0] - l.u[0] * l.v[2],
          l.u[0] * l.v[1] - l.u[1] * l.v[0],
        ];
        const towards = [-l.centre[0], 10 - l.centre[1], -l.centre[2]];
        const dot = n[0] * towards[0] + n[1] * towards[1] + n[2] * towards[2];
        expect(dot / (Math.hypot(...n) * Math.hypot(...towards))).toBeCloseTo(1, 6);
        expect(l.u[0] * l.v[0] + l.u[1] * l.v[1] + l.u[2] * l.v[2]).toBeCloseTo(0, 6);
      }
    }
  });
});

/** ∫ L cos cos′ / r² over a rectangle seen from the origin under +y, 800 × 800 midpoints; L falls by 3x² − 2x³. */
function quadrature({ centre, u, v, radiance, falloff }: RectLight): number {
  const n = 800;
  const along = (t: number) => Math.min(1, falloff > 0 ? (1 - Math.abs(t)) / falloff : 1);
  const ramp = (t: number) => along(t) ** 2 * (3 - 2 * along(t));
  const normal = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
  let sum = 0;
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++) {
      const [s, t] = [(2 * i + 1) / n - 1, (2 * j + 1) / n - 1];
      const p = [0, 1, 2].map((k) => centre[k] + s * u[k] + t * v[k]);
      // the rectangle's element of area is |u × v| ds dt, and cos′ takes that length away again
      const facing = -(p[0] * normal[0] + p[1] * normal[1] + p[2] * normal[2]);
      const r2 = p[0] ** 2 + p[1] ** 2 + p[2] ** 2;
      if (p[1] > 0 && facing > 0) sum += (ramp(s) * ramp(t) * p[1] * facing) / r2 ** 2;
    }
  return (radiance[0] * sum * 4) / n ** 2;
}
