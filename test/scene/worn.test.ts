import { Matrix4, Vector3 } from 'three';
import { beforeAll, describe, expect, it } from 'vitest';
import type { BuiltShape } from '../../pipeline/band/built-shape.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { WaveSeam } from '../../pipeline/plan/seam-design.ts';
import { forEachVertex, type PlacedBand } from '../../pipeline/scene/pose.ts';
import { composeShot } from '../../pipeline/scene/view.ts';
import { touchingDistance } from '../../pipeline/scene/worn.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { bandDesign } from '../band/designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

const wave: WaveSeam = { kind: 'wave', atMm: 0, amplitudeMm: 0.6, periods: 4, sharpness: 0, phaseRad: 0 };

function band(amplitudeMm = 0, change: Partial<ShapeDesign> = {}): Promise<BuiltShape> {
  const outline = {
    middle: { ...wave, amplitudeMm },
    measured: 'finger' as const,
    other: { widthMm: 6, seams: [] },
  };
  return buildShape(bandDesign({ widthMm: 3, chordToleranceMm: 0.02, outline, ...change }), kernel);
}

/** All metal of a band where it stands, as one solid of the boolean engine: an independent judge of touching. */
function metalOf({ shape, toWorld }: PlacedBand) {
  const p = new Vector3();
  const parts = shape.lanes.map(({ mesh }) => {
    const placed = Float32Array.from(
      Array.from({ length: mesh.positions.length / 3 }, (_, i) =>
        p
          .fromArray(mesh.positions, 3 * i)
          .applyMatrix4(toWorld)
          .toArray(),
      ).flat(),
    );
    const own = new kernel.Mesh({ numProp: 3, vertProperties: placed, triVerts: mesh.indices });
    own.merge();
    return new kernel.Manifold(own);
  });
  return kernel.Manifold.union(parts);
}

function measured(shapes: readonly BuiltShape[]) {
  const { bands } = composeShot('pair', shapes, 0, 'worn');
  const [first, other] = bands;
  const [a, b] = bands.map(metalOf);
  const at = new Vector3()
    .setFromMatrixPosition(other.toWorld)
    .sub(new Vector3().setFromMatrixPosition(first.toWorld));
  const along = new Vector3().setFromMatrixColumn(first.toWorld, 2);
  const shared = a.intersect(b).volume();
  return { bands, shared, gap: a.minGap(b, 1), apart: at.dot(along) };
}

describe('two bands as they are worn', () => {
  it.each([
    ['level bands lie face to face, as far apart as both are wide', [0, 0], 3],
    ['waves in step lie in each other, crest in trough', [0.6, 0.6], 3],
    ['waves against each other touch at their crests', [0.6, -0.6], 3 + 2 * 0.6],
    ['a wave touches a level band at its crests', [0, 0.6], 3 + 0.6],
  ] as const)('%s', async (_, [one, two], apartMm) => {
    const found = measured(await Promise.all([band(one), band(two)]));
    expect(found.apart).toBeGreaterThan(apartMm - 0.005);
    expect(found.apart).toBeLessThan(apartMm + 0.03);
    expect(found.shared).toBe(0);
    expect(found.gap).toBeGreaterThan(0.002);
    expect(found.gap).toBeLessThan(0.03);
  });

  it('of two sizes stand on the ground with one direction of their axes and touch without sharing metal', async () => {
    const found = measured(
      await Promise.all([band(0.4), band(0.4, { circumferenceMm: 61, thicknessMm: 1.4 })]),
    );
    for (const placed of found.bands) {
      let lowest = Number.POSITIVE_INFINITY;
      forEachVertex(placed, ({ y }) => {
        lowest = Math.min(lowest, y);
      });
      expect(lowest).toBeCloseTo(0, 5);
    }
    expect(found.shared).toBe(0);
    expect(found.gap).toBeLessThan(0.04);
  });

  it('and a third beyond them: each touches the next and none shares metal, unlike widths and waves', async () => {
    const shapes = await Promise.all([
      band(0.5, { widthMm: 2 }),
      band(-0.5, { widthMm: 2.4 }),
      band(0.3, { widthMm: 3 }),
    ]);
    const { bands } = composeShot('pair', shapes, 0, 'worn');
    expect(bands).toHaveLength(3);
    const [a, b, c] = bands.map(metalOf);
    for (const [one, other] of [
      [a, b],
      [b, c],
    ]) {
      expect(one.intersect(other).volume()).toBe(0);
      expect(one.minGap(other, 1)).toBeGreaterThan(0.002);
      expect(one.minGap(other, 1)).toBeLessThan(0.03);
    }
    expect(a.intersect(c).volume()).toBe(0);
    // about the middle of the picture
    const [first, , last] = bands.map(({ toWorld }) => new Vector3().setFromMatrixPosition(toWorld));
    const along = new Vector3().setFromMatrixColumn(bands[0].toWorld, 2);
    expect(first.dot(along) + last.dot(along)).toBeCloseTo(0, 6);
  });

  it('are no nearer for bands that miss each other across the finger', async () => {
    const far = await band(0, { circumferenceMm: 100 });
    const near = await band();
    const at = (shape: BuiltShape): PlacedBand => ({ shape, toWorld: new Matrix4() });
    expect(touchingDistance(at(near), at(far))).toBe(0);
  });
});
