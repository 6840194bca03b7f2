import { beforeAll, describe, expect, it } from 'vitest';
import type { Vec3 } from '../../pipeline/scene/trace-scene.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { FINISHES } from '../../pipeline/trade/finishes.ts';
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
  const { alphaX, alphaY } = FINISHES.get(finish)!;
  const scene = bareScene({
    mesh: quadMesh([-1, -1, -40], [2, 0, 0], [0, 2, 0]),
    surfaces: [{ alphaX, alphaY, metal: 0, axis: [0, 1, 0] }],
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
    for (const finish of ['satin', 'ice-matt', 'sandblasted'])
      expect(seen(finish, round) / seen(finish, across)).toBeCloseTo(1, 1);
  });
});
