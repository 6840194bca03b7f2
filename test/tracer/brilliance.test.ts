import { beforeAll, describe, expect, it } from 'vitest';
import type { RectLight, TraceScene, Vec3 } from '../../pipeline/scene/trace-scene.ts';
import { FINE_BRILLIANT, roundBrilliant } from '../../pipeline/setting/brilliant.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { bareScene, cross, film, kernel, radians, unit } from './kernel-fixture.ts';

let host: KernelHost;
beforeAll(async () => {
  host = await kernel();
});

const SIDE = 40;
const AWAY = 400;
/** Light from above the girdle plane alone, and as much from everywhere there: 1 from +y up, 0 below. */
const UPPER = new Float32Array(65 * 3).map((_, i) => (Math.floor(i / 3) > 32 ? 1 : 0));

/**
 * Luminance of each pixel of a brilliant seen from a tilt off its table, rad: it lies table up, girdle level, under an even
 * upper half of the sky, before a dark disc-like card of `head` half-angle round the lens, as a viewer's head is.
 */
function seen(tilt: number, head = 0, cut = FINE_BRILLIANT): number[] {
  const planes = Float32Array.from(roundBrilliant(3, cut).flatMap(({ n, d }) => [...n, d]));
  const eye: Vec3 = [0, AWAY * Math.cos(tilt), AWAY * Math.sin(tilt)];
  const towards = unit(eye);
  const u = unit(cross([1, 0, 0], towards));
  const v = cross(towards, u);
  const half = AWAY * 1.2 * Math.tan(head);
  const card = towards.map((c) => c * AWAY * 1.2) as Vec3;
  const lights: RectLight[] =
    head > 0 ? [{ centre: card, u: scale(u, half), v: scale(v, half), radiance: [0, 0, 0], falloff: 0 }] : [];
  const scene: TraceScene = bareScene({
    cuts: [planes],
    // no dispersion: luminance alone is asked for
    gems: [{ cauchyA: 2.418, cauchyB: 0 }],
    // local z, the table's normal, is world y
    stones: [{ cut: 0, gem: 0, toWorld: new Float32Array([0, 1, 0, 0, 0, 0, 1, 0, 1, 0, 0, 0]) }],
    colourways: [{ metals: [], gems: [{ absorption: [0, 0, 0] }] }],
    dome: UPPER,
    lights,
    width: SIDE,
    height: SIDE,
    camera: {
      eye,
      target: [0, 0, 0],
      up: [0, 0, -1],
      fovY: 2 * Math.atan(1.25 / AWAY),
      lensRadius: 0,
      focusDistance: AWAY,
    },
  });
  const values = film(host, scene, 64)[0];
  return Array.from({ length: SIDE * SIDE }, (_, i) => i)
    .filter((i) => Math.hypot((i % SIDE) + 0.5 - SIDE / 2, Math.floor(i / SIDE) + 0.5 - SIDE / 2) < SIDE / 2)
    .map((i) => values[3 * i + 1]);
}

const scale = (a: Vec3, s: number): Vec3 => [a[0] * s, a[1] * s, a[2] * s];
const mean = (a: number[]) => a.reduce((s, v) => s + v, 0) / a.length;
const spread = (a: number[]) => Math.sqrt(mean(a.map((v) => (v - mean(a)) ** 2)));

describe('a round brilliant', () => {
  it('returns light face up, and less through a pavilion too flat or too steep (Tolkowsky, Diamond Design, 1919)', () => {
    // too flat it is a window, too steep a nail head; Tolkowsky finds the most near 40.75°
    const fine = mean(seen(0));
    const flat = mean(seen(0, 0, { ...FINE_BRILLIANT, pavilionAngle: radians(30) }));
    const steep = mean(seen(0, 0, { ...FINE_BRILLIANT, pavilionAngle: radians(51) }));
    expect(fine).toBeGreaterThan(0.8);
    expect(flat).toBeLessThan(0.85 * fine);
    expect(steep).toBeLessThan(0.85 * fine);
  });

  it('tilted by 10° is nearly as bright and by 40° it leaks (common practice: cut grading tilts to either side)', () => {
    const [up, little, far] = [0, 10, 40].map((deg) => mean(seen(radians(deg))));
    expect(little).toBeGreaterThan(0.9 * up);
    expect(far).toBeLessThan(0.95 * up);
  });

  it('shows its contrast against a dark lens: the arrows, which tilt away (viewer’s obscuration of about 15°: Sasian and others, 2003, from memory)', () => {
    const even = spread(seen(0));
    const [up, tilted] = [0, 35].map((deg) => seen(radians(deg), radians(15)));
    expect(spread(up)).toBeGreaterThan(1.3 * even);
    // light is still most of what one sees
    expect(mean(up)).toBeGreaterThan(0.5);
    const dark = (a: number[]) => a.filter((v) => v < 0.4).length / a.length;
    expect(dark(up)).toBeGreaterThan(0.1);
    expect(dark(up)).toBeLessThan(0.5);
    expect(mean(tilted)).not.toBeCloseTo(mean(up), 2);
  });
});
