import { describe, expect, it } from 'vitest';
import { buildLanes } from '../../pipeline/band/build-lanes.ts';
import { laneVolume } from '../../pipeline/band/pappus.ts';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import { BODIES } from './bodies.ts';
import { wavyDesign } from './designs.ts';
import { strayingOf } from './true-surface.ts';

const DESIGNS: Record<string, ShapeDesign> = { ...BODIES, 'court under a wave': wavyDesign() };

describe.each(Object.keys(DESIGNS))('%s', (name) => {
  it.each([0.005, 0.02])(
    'keeps within %f mm of its exact sections, and near to their mass',
    (chordToleranceMm) => {
      for (const { lane, mesh } of buildLanes({ ...DESIGNS[name], chordToleranceMm })) {
        expect(strayingOf(mesh, lane, 797)).toBeLessThan(chordToleranceMm);
        // of a thickness of 1.5 to 2 mm, chords on both sides take less than an eighth of the tolerance on average
        expect(Math.abs(meshVolume(mesh) / laneVolume(lane, 144) - 1)).toBeLessThan(0.15 * chordToleranceMm);
      }
    },
  );
});
