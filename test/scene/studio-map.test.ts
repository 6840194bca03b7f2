import { readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { lightStudio } from '../../pipeline/scene/studio.ts';
import { studioMap } from '../../pipeline/scene/studio-map.ts';
import type { Ground, RectLight } from '../../pipeline/scene/trace-scene.ts';
import { config, planOf } from '../plan/workspace.ts';

const WHITE: Ground = { kind: 'white', albedo: [0.8, 0.8, 0.8], level: 1.3 };
const NONE: Ground = { ...WHITE, kind: 'none' };
const DARK = new Float32Array(9);

/** Solid angle of each row's texels. */
function omega(height: number, y: number): number {
  return Math.cos(((y + 0.5) / height - 0.5) * Math.PI) * (Math.PI / height) ** 2;
}

describe('the map of a studio', () => {
  it('holds a panel at its solid angle and on its side: 4 asin(ab/√((a²+d²)(b²+d²)))', () => {
    // a rectangle of half-sides a, b seen from d before its middle (closed form, e.g. Khadjavi, JOSA 58, 1968)
    const [a, b, d] = [40, 25, 60];
    const panel: RectLight = {
      centre: [d, 0, 0],
      u: [0, 0, a],
      v: [0, b, 0],
      radiance: [2, 2, 2],
      falloff: 0,
    };
    const seen = (light: RectLight) =>
      studioMap({ lights: [light], dome: DARK, ground: NONE }, [0, 0, 0], 256);
    const lit = [panel, { ...panel, u: [0, 0, -a] as [number, number, number] }]
      .map(seen)
      .find((m) => m.texels.some((v) => v > 0))!;
    let sum = 0;
    let x = 0;
    for (let r = 0; r < lit.height; r++)
      for (let c = 0; c < lit.width; c++) {
        const v = lit.texels[3 * (r * lit.width + c)] / 2;
        sum += v * omega(lit.height, r);
        x += v * Math.cos(((c + 0.5) / lit.width) * 2 * Math.PI - Math.PI);
      }
    const exact = 4 * Math.asin((a * b) / Math.sqrt((a * a + d * d) * (b * b + d * d)));
    expect(Math.abs(sum / exact - 1)).toBeLessThan(0.01);
    expect(x).toBeGreaterThan(0);
  });

  it('is the dome where nothing else stands, by elevation', () => {
    const dome = new Float32Array([0, 0, 0, 1, 1, 1, 3, 3, 3]);
    const map = studioMap({ lights: [], dome, ground: NONE }, [0, 0, 0], 64);
    const at = (y: number) => map.texels[3 * y * map.width];
    expect(at(0)).toBeCloseTo(0, 1);
    expect(at(31)).toBeCloseTo(1, 1);
    expect(at(63)).toBeCloseTo(3, 1);
  });

  // studios are metered until bare white ground under the subject has the stated radiance
  const studios = readdirSync('templates/studios').flatMap((f) =>
    /\.yaml$/.test(f) ? [f.slice(0, -5)] : [],
  );
  it.each(studios)('shows the ground right below as %s is metered', async (name) => {
    const { plan } = await planOf(config({ lights: `lights: ${name}` }));
    const { studio } = plan.shots[0];
    const { lights, dome } = lightStudio(studio, { azimuth: 0, elevation: 0.4, distance: 90 }, 10);
    const map = studioMap({ lights, dome, ground: WHITE }, [0, 10, 0], 64);
    const below = map.texels.subarray(0, 3 * map.width);
    const mean = [0, 1, 2].map((c) => {
      let sum = 0;
      for (let i = c; i < below.length; i += 3) sum += below[i];
      return sum / map.width;
    });
    const luminance = 0.2126 * mean[0] + 0.7152 * mean[1] + 0.0722 * mean[2];
    // the map has but eight cells a side to a panel
    expect(Math.abs(luminance / studio.groundRadiance - 1)).toBeLessThan(0.01);
  });
});
