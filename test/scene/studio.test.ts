import { describe, expect, it } from 'vitest';
import type { StudioPanel } from '../../pipeline/catalogue/studio.ts';
import { GROUND_ALBEDO, lightStudio } from '../../pipeline/scene/studio.ts';
import { config, planOf } from '../catalogue/workspace.ts';

describe('lightStudio', () => {
  it('meters a uniform dome: E = πL, so the ground shows albedo × L (Lambert, closed form)', () => {
    const { dome } = lightStudio({ panels: [], dome: [1, 1], groundRadiance: 0.4 }, 0, 10);
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
    const { lights } = lightStudio({ panels: [panel], dome: [0, 0], groundRadiance: 0.8 }, 0, 0);
    // ground radiance = albedo · L · F
    expect(GROUND_ALBEDO * lights[0].radiance[0] * factor).toBeCloseTo(0.8, 3);
  });

  it('faces every panel at the subject and keeps its edges square', async () => {
    for (const name of ['soft-tent', 'side-window', 'edge-strips', 'pin-lights', 'dusk']) {
      const { plan } = await planOf(config({ lights: `lights: ${name}` }));
      for (const l of lightStudio(plan.shots[0].studio, 0.4, 10).lights) {
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
