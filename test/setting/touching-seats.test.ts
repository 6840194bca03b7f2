import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import type { CutName } from '../../pipeline/trade/cuts.ts';
import { inspectMesh } from '../band/closed-mesh.ts';
import { expectSoundSet } from './sound-set.ts';
import { straightRowDesign } from './stone-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

interface Touching {
  cut: CutName;
  diameterMm: number;
  lengthMm: number;
  leastGapMm: number;
  setDepthMm: number;
  domeMm: number;
  holeShare: number;
  /** the lane's other bound, off the dome's crest */
  atMm: number;
}

/** A few stones in bare seats on the slope of a D-section, where the side walls of neighbours lie almost in one plane. */
function onSlope({ domeMm, atMm, ...row }: Touching) {
  return straightRowDesign(
    { ...row, coverage: { kind: 'arc', angleRad: 0.8 }, setting: { style: 'none' } },
    {
      widthMm: 5,
      thicknessMm: 2.2,
      section: { name: 'd', domeMm, comfortMm: 0, edgeMm: 0.1, boreEdgeMm: 0.1 },
      seams: [{ kind: 'straight', atMm }],
      lanes: ['all', 'beside'].map((name) => ({ name, recessMm: 0, softenMm: 0 })),
      chordToleranceMm: 0.05,
    },
  );
}

const baguettes: Touching = {
  cut: 'baguette',
  diameterMm: 0.95,
  lengthMm: 1.9,
  leastGapMm: 0,
  setDepthMm: 0.1,
  domeMm: 0.1,
  holeShare: 0.6,
  atMm: 0.7,
};

async function expectNoFolds(touching: Touching): Promise<void> {
  const shape = await buildShape(onSlope(touching), kernel);
  const { count } = shape.rows[0];
  expect(count).toBeGreaterThan(2);
  const { looseEdges, genus, leastCosine } = inspectMesh(shape.lanes[0].mesh);
  expect(looseEdges).toBe(0);
  expectSoundSet(kernel, shape, 0, genus);
  // holes, and windows from seat to seat where the walls lean apart above the girdles and leave a bridge of metal
  const holes = touching.holeShare > 0 ? count : 0;
  expect(genus).toBeGreaterThanOrEqual(1 + holes);
  expect(genus).toBeLessThanOrEqual(holes + count);
  expect(leastCosine).toBeGreaterThan(0.8);
}

describe('seats that run into each other leave metal that nowhere touches itself', () => {
  it.each([
    // each left two edges of four faces while the seats were cut out as they come
    ['baguettes girdle to girdle', { domeMm: 0.2 }],
    ['baguettes 0.01 mm apart', { leastGapMm: 0.01, domeMm: 0.2 }],
    ['baguettes 0.035 mm apart', { leastGapMm: 0.035 }],
    ['baguettes across the row', { diameterMm: 1.9, lengthMm: 0.95 }],
    ['squares', { cut: 'princess', diameterMm: 1.2, lengthMm: 1.2 }],
  ] as [string, Partial<Touching>][])('%s', async (_, change) => {
    await expectNoFolds({ ...baguettes, ...change });
  });

  it('of any gap below twice their air, and of just that', async () => {
    const touching = fc.record({
      size: fc.constantFrom(
        { cut: 'baguette', diameterMm: 0.95, lengthMm: 1.9 } as const,
        { cut: 'baguette', diameterMm: 1.9, lengthMm: 0.95 } as const,
        { cut: 'princess', diameterMm: 1.2, lengthMm: 1.2 } as const,
      ),
      leastGapMm: fc.oneof(
        { weight: 3, arbitrary: fc.double({ min: 0, max: 0.042, noNaN: true }) },
        fc.constant(0.04),
      ),
      setDepthMm: fc.double({ min: 0, max: 0.12, noNaN: true }),
      domeMm: fc.double({ min: 0.05, max: 0.4, noNaN: true }),
      holeShare: fc.constantFrom(0, 0.3, 0.6),
      atMm: fc.double({ min: 0.3, max: 1.2, noNaN: true }),
    });
    await fc.assert(
      fc.asyncProperty(touching, ({ size, ...rest }) => expectNoFolds({ ...size, ...rest })),
      { numRuns: 30 },
    );
  });
});
