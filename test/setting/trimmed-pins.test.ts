import { beforeAll, expect, it } from 'vitest';
import { buildLanes } from '../../pipeline/band/build-lanes.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import { planCuts } from '../../pipeline/setting/build-solids.ts';
import { clawMesh } from '../../pipeline/setting/claw-form.ts';
import { notchesOf } from '../../pipeline/setting/set-stones.ts';
import { loadSolidKernel, NativeSolids, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { trimmedPins } from '../../pipeline/setting/trimmed-pins.ts';
import { BRIGHT_GRAIN, SMALL, straightRowDesign, wavyRowDesign } from './stone-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

it.each([
  // larger stones close the row round a small band with fewer of them
  ['claws of a straight row', straightRowDesign({ diameterMm: 2.2 }, SMALL), 0],
  ['claws of an open row', straightRowDesign({ coverage: { kind: 'arc', angleRad: 1 } }), 0],
  [
    'claws of a row of several sizes',
    straightRowDesign({ graduate: { toMm: 1.3, stepMm: 0.1 }, coverage: { kind: 'arc', angleRad: 1.2 } }),
    0,
  ],
  [
    'grains of squares',
    straightRowDesign(
      {
        ...{ cut: 'princess', diameterMm: 1.3, lengthMm: 1.3, setDepthMm: 0.12 },
        ...{ setting: BRIGHT_GRAIN, coverage: { kind: 'arc', angleRad: 1.2 } },
      },
      { widthMm: 4 },
    ),
    0,
  ],
  ['claws of a wave of four', wavyRowDesign({ count: 36 }, SMALL), 1],
] as [string, ShapeDesign, number][])(
  '%s that are alike are as if each were trimmed',
  async (_, design, at) => {
    const lanes = buildLanes(design);
    const { rows } = await planCuts(
      design,
      lanes.map(({ lane }) => lane),
      kernel,
    );
    const [row] = rows;
    expect(row.lane.index).toBe(at);
    const chord = design.chordToleranceMm;
    const pins = [...row.claws, ...(row.grain?.grains ?? [])];
    const solids = new NativeSolids(kernel);
    try {
      const trimmed = trimmedPins(solids, pins, notchesOf(row, chord), chord);
      const all = solids.unite(solids.fromMeshes(pins.map((pin) => clawMesh(pin, chord))));
      const notches = solids.fromMeshes(notchesOf(row, chord).flatMap(({ meshes }) => meshes));
      const each = solids.subtract(all, notches);
      expect(trimmed.volume() / each.volume()).toBeCloseTo(1, 5);
      expect(each.volume()).toBeLessThan(0.99 * all.volume());
      // in the same places: what one has and the other has not is thinner than the engine’s rounding
      expect(solids.subtract(trimmed, [each]).volume()).toBeLessThan(1e-4 * each.volume());
      expect(solids.subtract(each, [trimmed]).volume()).toBeLessThan(1e-4 * each.volume());
      expect(trimmed.genus()).toBe(each.genus());
    } finally {
      solids.free();
    }
  },
);
