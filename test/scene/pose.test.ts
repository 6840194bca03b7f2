import { Vector3 } from 'three';
import { describe, expect, it } from 'vitest';
import { footprintSeparation } from '../../pipeline/scene/pair.ts';
import { forEachVertex, placeBand } from '../../pipeline/scene/pose.ts';
import { composeShot } from '../../pipeline/scene/view.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { bandDesign } from '../band/designs.ts';
import { torusShape } from './torus-shape.ts';

const shape = torusShape(17, 1.2);

describe('placeBand', () => {
  // closed form: a standing torus is 2 (R + t) high, a lying one 2 t; both touch y = 0
  it.each([
    ['standing', 17 + 4 * 1.2],
    ['lying', 2 * 1.2],
  ] as const)('rests a %s band on the ground', (rest, height) => {
    const band = placeBand(shape, { rest, yaw: 0.7, roll: 0.3, x: 3, z: -2 });
    let low = Number.POSITIVE_INFINITY;
    let high = Number.NEGATIVE_INFINITY;
    forEachVertex(band, (p) => {
      low = Math.min(low, p.y);
      high = Math.max(high, p.y);
    });
    expect(low).toBeCloseTo(0, 5);
    expect(high).toBeCloseTo(height, 1);
  });

  it('is rigid: the transform has determinant +1', () => {
    for (const rest of ['standing', 'lying'] as const)
      expect(placeBand(shape, { rest, yaw: 1, roll: 2, x: 0, z: 0 }).toWorld.determinant()).toBeCloseTo(1, 9);
  });
});

describe('a tapered band', () => {
  const bare = { name: 'flat', domeMm: 0, comfortMm: 0, edgeMm: 0, boreEdgeMm: 0 } as const;
  const design = bandDesign({
    widthMm: 6,
    section: bare,
    taper: { widthMm: 3.6, thicknessMm: 1.2, seams: [] },
    chordToleranceMm: 0.03,
  });

  it('lies on its lower edge at the top and at the back, and nowhere below', async () => {
    const tapered = await buildShape(design);
    const band = placeBand(tapered, { rest: 'lying', yaw: 0.4, roll: 0, x: 0, z: 0 });
    const lowest = { top: Number.POSITIVE_INFINITY, back: Number.POSITIVE_INFINITY };
    const up = band.toWorld.clone().invert();
    forEachVertex(band, (p) => {
      const half = p.clone().applyMatrix4(up).y > 0 ? 'top' : 'back';
      lowest[half] = Math.min(lowest[half], p.y);
    });
    expect(lowest.top).toBeCloseTo(0, 6);
    expect(lowest.back).toBeCloseTo(0, 6);
    // where the face is highest it touches with its outside, where it is lowest with the bore's edge (closed form)
    const [top, back] = [54 / (2 * Math.PI), 54 / (2 * Math.PI) + 1.2];
    const lean = Math.acos(band.toWorld.elements[9]);
    expect(lean).toBeCloseTo(Math.atan2(1.2, top + back), 3);
  });

  it('stands on its back', async () => {
    const tapered = await buildShape(design);
    const band = placeBand(tapered, { rest: 'standing', yaw: 0, roll: 0, x: 0, z: 0 });
    // closed form: bore radius and the back's thickness under the axis
    const height = 54 / (2 * Math.PI) + 1.2;
    expect(Math.abs(band.toWorld.elements[13] - height)).toBeLessThan(design.chordToleranceMm);
  });
});

describe('pairs', () => {
  it('separates two footprints exactly: closed form for parallel rectangles', () => {
    const p = { a: 10, b: 2, yaw: 0 };
    // along x two parallel rectangles clear at the sum of half-lengths, along z at the sum of half-widths
    expect(footprintSeparation(p, p, 1, 0, 1)).toBeCloseTo(21, 9);
    expect(footprintSeparation(p, p, 0, 1, 1)).toBeCloseTo(5, 9);
    // turned by 90° they meet at half-length + half-width
    expect(footprintSeparation(p, { ...p, yaw: Math.PI / 2 }, 1, 0, 0)).toBeCloseTo(12, 9);
  });

  it('never lets two bands touch', () => {
    const { bands } = composeShot('pair', [torusShape(16, 1), torusShape(21, 1.5)]);
    const points = bands.map((b) => {
      const all: number[][] = [];
      forEachVertex(b, (p) => all.push([p.x, p.y, p.z]));
      return all;
    });
    let least = Number.POSITIVE_INFINITY;
    for (const a of points[0].filter((_, i) => i % 7 === 0))
      for (const b of points[1].filter((_, i) => i % 7 === 0))
        least = Math.min(least, Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]));
    expect(least).toBeGreaterThan(1);
  });
});

describe('a band whose edges swing', () => {
  const flat = { name: 'flat', domeMm: 0, comfortMm: 0, edgeMm: 0, boreEdgeMm: 0 } as const;
  const swinging = (zMm: number[]) =>
    buildShape(
      bandDesign({
        section: flat,
        outline: {
          middle: { kind: 'points', zMm, phaseRad: 0.4 },
          measured: 'finger',
          other: { widthMm: 8, seams: [] },
        },
        chordToleranceMm: 0.03,
      }),
    );

  it.each([false, true])(
    'lies on places all round its axis, none below the ground (over: %s)',
    async (over) => {
      for (const zMm of [
        [0.6, -0.5, 0.7, -0.4, 0.2],
        [0, 1.2, 0, -0.3],
      ]) {
        const band = placeBand(await swinging(zMm), { rest: 'lying', over, yaw: 0.3, roll: 0, x: 0, z: 0 });
        const middle = new Vector3().applyMatrix4(band.toWorld);
        const carrying: number[] = [];
        let low = Number.POSITIVE_INFINITY;
        forEachVertex(band, (p) => {
          low = Math.min(low, p.y);
          if (p.y < 1e-3) carrying.push(Math.atan2(p.x - middle.x, p.z - middle.z));
        });
        expect(low).toBeCloseTo(0, 6);
        // what stands on places that leave half a turn free would tip over
        const sorted = carrying.sort((a, b) => a - b);
        const gaps = sorted.map((a, i) => (sorted[i + 1] ?? sorted[0] + 2 * Math.PI) - a);
        expect(sorted.length).toBeGreaterThanOrEqual(3);
        expect(Math.max(...gaps)).toBeLessThan(Math.PI + 1e-3);
      }
    },
  );
});
