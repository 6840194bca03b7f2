import fc from 'fast-check';
import { beforeAll, expect, it } from 'vitest';
import { joinDisjoint } from '../../pipeline/setting/disjoint.ts';
import { revolve, straightRun } from '../../pipeline/setting/revolution.ts';
import { loadSolidKernel, NativeSolids, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import type { Frame } from '../../pipeline/setting/stone.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

/** A pin that leans about z, so that boxes of neighbours overlap where the pins do not. */
function pin(x: number, lean: number, radius: number) {
  const [sin, cos] = [Math.sin(lean), Math.cos(lean)];
  const frame: Frame = { origin: [x, 0, 0], x: [cos, sin, 0], y: [0, 0, 1], axis: [sin, -cos, 0] };
  const runs = [
    straightRun(0, -1, radius, -1),
    straightRun(radius, -1, radius, 1),
    straightRun(radius, 1, 0, 1),
  ];
  return revolve(frame, runs, 16);
}

it('joins pins that stand clear into one solid and leaves those that overlap apart: the volume is that of their union', () => {
  fc.assert(
    fc.property(
      fc.array(
        fc.record({
          step: fc.double({ min: 0.1, max: 1, noNaN: true }),
          radius: fc.double({ min: 0.1, max: 0.4, noNaN: true }),
        }),
        { minLength: 2, maxLength: 8 },
      ),
      fc.double({ min: -1, max: 1, noNaN: true }),
      (pins, lean) => {
        let x = 0;
        const meshes = pins.map(({ step, radius }) => pin((x += step), lean, radius));
        const solids = new NativeSolids(kernel);
        const together = solids.unite(solids.fromMeshes(meshes));
        const oneByOne = solids.unite(meshes.map((mesh) => solids.fromMesh(mesh)));
        expect(together.volume()).toBeCloseTo(oneByOne.volume(), 5);
        solids.free();
      },
    ),
    { numRuns: 60 },
  );
});

it('sees through the overlapping boxes of pins that fan out as round a band', () => {
  const meshes = Array.from({ length: 40 }, (_, i) => {
    const [sin, cos] = [Math.sin((Math.PI * i) / 20), Math.cos((Math.PI * i) / 20)];
    const place: Frame = {
      origin: [9 * sin, 9 * cos, 0],
      x: [cos, -sin, 0],
      y: [0, 0, 1],
      axis: [sin, cos, 0],
    };
    return revolve(
      place,
      [straightRun(0, -2, 0.5, -2), straightRun(0.5, -2, 0.5, 1), straightRun(0.5, 1, 0, 1)],
      16,
    );
  });
  expect(joinDisjoint(meshes)).toHaveLength(1);
});

it('keeps what overlaps in separate solids', () => {
  expect(joinDisjoint([pin(0, 0, 0.3), pin(0.5, 0, 0.3), pin(1, 0, 0.3)])).toHaveLength(2);
});
