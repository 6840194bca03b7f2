import { expect, it } from 'vitest';
import { boreSurface } from '../../pipeline/band/outside.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { EngravingDesign } from '../../pipeline/plan/engraving-design.ts';
import { layLine, onSurface, placeOnLine } from '../../pipeline/setting/engraving.ts';
import { letterRun } from '../../pipeline/setting/letter-run.ts';
import { bandDesign } from '../band/designs.ts';

const letters: EngravingDesign = { text: 'TIDE', heightMm: 1, depthMm: 0.1, style: 'regular', atRad: 0.3 };

const swinging: ShapeDesign = bandDesign({
  outline: {
    middle: { kind: 'wave', atMm: 0, amplitudeMm: 0.8, periods: 3, sharpness: 0, phaseRad: 0.2 },
    measured: 'square',
    other: { widthMm: 8, seams: [] },
  },
});

it('letters run along a line that bends: lengths along it and across it are true to a few in a thousand', () => {
  const run = letterRun(swinging, letters);
  const { laid } = layLine(letters, 'inside', boreSurface(swinging), run, 0.01)!;
  const distance = (a: [number, number], b: [number, number]) => {
    const [p, q] = [onSurface(laid, a, 0), onSurface(laid, b, 0)];
    return Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]);
  };
  for (const s of [-4, -1, 0, 2, 5]) {
    expect(distance([s, 0], [s + 0.1, 0])).toBeCloseTo(0.1, 4);
    // square to the line, and as far from it as they are high
    expect(distance([s, 0], [s, 0.5])).toBeCloseTo(0.5, 2);
    const diagonal = distance([s + 0.05, 0], [s, 0.05]);
    expect(diagonal).toBeCloseTo(Math.hypot(0.05, 0.05), 3);
  }
  const { theta, z } = placeOnLine(laid, [0, 0]);
  expect([theta, z]).toEqual([0.3, expect.closeTo(run.z(0.3), 12)]);
});

it('on a level band a line stays level, with angles in proportion to lengths', () => {
  const plain = bandDesign();
  const { laid } = layLine(letters, 'inside', boreSurface(plain), letterRun(plain, letters), 0.01)!;
  const radius = 54 / (2 * Math.PI);
  for (const s of [-3, 0, 2]) {
    const place = placeOnLine(laid, [s, 0.4]);
    expect(Math.abs(place.theta - 0.3)).toBeCloseTo(Math.abs(s) / radius, 12);
    expect(place.z).toBeCloseTo(0.4, 12);
  }
});
