import { beforeAll, describe, expect, it } from 'vitest';
import type { Surface, Vec3 } from '../../pipeline/scene/trace-scene.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { alphaFromAfar, FINISHES, type Finish } from '../../pipeline/trade/finishes.ts';
import { bareScene, film, kernel, lightTowards, meanOf, perfectMirror, quadMesh } from './kernel-fixture.ts';

let host: KernelHost;
beforeAll(async () => {
  host = await kernel();
});

/**
 * Brightness of a flat patch in the x-y plane, seen straight on, under a small light at an angle. The finger axis is y,
 * so the tangent cross(axis, normal), round the ring, is x.
 */
function seen(finish: string, light: Vec3): number {
  return seenWith(alphaFromAfar(FINISHES.get(finish)!), light);
}

/** Marks so small that the patch holds thousands; the frame puts turns along x at a radius of 100 mm. */
function tinyMarks(finish: Finish, side: number) {
  const { along, across, ...marks } = finish.marks!;
  const frame = { centre: [0, 0, -140] as Vec3, x: [0, 0, 1] as Vec3, radius: 100 };
  // crossed strokes are sixty times longer than wide
  const scale = side / (marks.strokes === 'crossed' ? 10 : 1) / Math.max(along, across);
  return { along: along * scale, across: across * scale, ...marks, ...frame };
}

function seenWith(rough: Omit<Surface, 'metal' | 'axis'>, light: Vec3): number {
  const scene = bareScene({
    mesh: quadMesh([-1, -1, -40], [2, 0, 0], [0, 2, 0]),
    surfaces: [{ ...rough, metal: 0, axis: [0, 1, 0] }],
    lights: [lightTowards(light, [0, 0, -40], 1.5, 1.5, 100)],
    colourways: [perfectMirror],
  });
  return meanOf(film(host, scene, 256)[0]);
}

/** 20 mm aside of the viewer at 40 mm: 27°, half of it between the normal and the half vector. */
const round: Vec3 = [20, 0, 0];
const across: Vec3 = [0, 20, 0];

describe('finishes', () => {
  it('brushed along the ring spread light across it, brushed across spread it along', () => {
    // marks run round the ring, their slopes stand across it; Kajiya 1985: a highlight is stretched across the marks
    expect(seen('brushed', across)).toBeGreaterThan(3 * seen('brushed', round));
    expect(seen('brushed-across', round)).toBeGreaterThan(3 * seen('brushed-across', across));
    expect(seen('brushed', across) / seen('brushed-across', round)).toBeCloseTo(1, 1);
  });

  it('without a direction look alike from both, and the more matt the more light reaches the eye from far aside', () => {
    const far: Vec3 = [40, 0, 0];
    const matt = ['polished', 'satin', 'ice-matt', 'sandblasted'].map((finish) => seen(finish, far));
    expect([...matt].sort((a, b) => a - b)).toEqual(matt);
    expect(matt[0]).toBeLessThan(0.05 * matt[1]);
    for (const finish of ['satin', 'brushed-crosswise', 'brushed-in-circles', 'ice-matt', 'sandblasted'])
      expect(seen(finish, round) / seen(finish, across)).toBeCloseTo(1, 1);
  });

  it.each([...FINISHES.keys()].filter((id) => id !== 'polished'))(
    '%s: many marks seen at once spread light like the wider lobe that stands for them',
    (id) => {
      const finish = FINISHES.get(id)!;
      const { alphaX, alphaY } = finish;
      for (const light of [round, across]) {
        const marked = seenWith({ alphaX, alphaY, relief: tinyMarks(finish, 0.05) }, light);
        // noise is not normally distributed and GGX's tails are long, so that the sum of variances is only near
        expect(marked / seen(id, light)).toBeGreaterThan(0.7);
        expect(marked / seen(id, light)).toBeLessThan(1.4);
      }
    },
  );

  it('marks lose little of the light of a closed white room, and give none', () => {
    for (const id of [...FINISHES.keys()].filter((id) => id !== 'polished')) {
      const finish = FINISHES.get(id)!;
      const { alphaX, alphaY } = finish;
      const scene = bareScene({
        mesh: quadMesh([-1, -1, -40], [2, 0, 0], [0, 2, 0]),
        surfaces: [{ alphaX, alphaY, relief: tinyMarks(finish, 0.1), metal: 0, axis: [0, 1, 0] }],
        dome: new Float32Array(12).fill(1),
        colourways: [perfectMirror],
      });
      const mean = meanOf(film(host, scene, 256)[0]);
      expect(mean, id).toBeGreaterThan(0.97);
      expect(mean, id).toBeLessThan(1.01);
    }
  });
});
