import { beforeAll, describe, expect, it } from 'vitest';
import type { BuiltShape } from '../../pipeline/band/built-shape.ts';
import { withPolishAllowance } from '../../pipeline/band/polish-allowance.ts';
import { castPart } from '../../pipeline/model/cast-part.ts';
import { buildGlb } from '../../pipeline/model/glb.ts';
import type { RowDesign, ShapeDesign } from '../../pipeline/plan/design.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { bandDesign } from '../band/designs.ts';
import { straightRowDesign } from '../setting/stone-designs.ts';
import { readStl } from './read-stl.ts';
import { validateGlb } from './validate-glb.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

const soft = { name: 'court', domeMm: 0.2, comfortMm: 0.1, edgeMm: 0.25, boreEdgeMm: 0.15 } as const;
const plain = (change: Partial<ShapeDesign>) =>
  bandDesign({ thicknessMm: 2, chordToleranceMm: 0.05, section: soft, ...change });

/** One larger stone over its band. */
const raised = (setting: RowDesign['setting']) =>
  straightRowDesign(
    {
      diameterMm: 4,
      count: 1,
      leastGapMm: 1.4,
      coverage: { kind: 'arc', angleRad: 1 },
      setDepthMm: -1.9,
      holeShare: 0.25,
      setting,
    },
    { thicknessMm: 2, widthMm: 4.2, chordToleranceMm: 0.05 },
  );

const gap = { name: 'gap', softenMm: 0.2 };
const DESIGNS: [string, ShapeDesign][] = [
  ['a flat on top', plain({ flat: { lengthMm: 8, riseMm: 0.4, edgeMm: 0.4 } })],
  ['an open band', plain({ gaps: [{ ...gap, kind: 'open', atRad: Math.PI, widthMm: 4, roundMm: 1 }] })],
  [
    'a split band',
    plain({
      gaps: [{ ...gap, kind: 'split', atRad: 0, spanRad: 1.4, widthMm: 1, across: { share: 0.5, mm: 0 } }],
    }),
  ],
  [
    'ends that pass each other',
    plain({
      gaps: [{ ...gap, kind: 'bypass', atRad: 0, spanRad: 1.1, widthMm: 0.6, roundMm: 0.6, from: 'first' }],
    }),
  ],
  ['a tapered bezel', raised({ style: 'bezel', wallMm: 0.5, lipMm: 0.15, taperRad: 0.38, openShare: 0.5 })],
  [
    'a head of six claws',
    raised({ style: 'head', claws: 6, clawDiameterMm: 0.9, clawHeightMm: 0.5, wallMm: 0.5, taperRad: 0.46 }),
  ],
];

const GOLD = { name: 'gold', f0: [1.037, 0.728, 0.365] as const };
const POLISHED = { name: 'polished', roughness: 0.1 };
const DIAMOND = { name: 'Diamond', ior: 2.417, abbe: 55.3, absorption: [0, 0, 0] as const };

describe.each(DESIGNS)('%s', (_, design) => {
  let shape: BuiltShape;
  beforeAll(async () => {
    shape = await buildShape(design, kernel);
  });

  it('goes to the caster as one closed piece of its own volume, and with an allowance as more', async () => {
    const { stl, pieces } = await castPart(shape, [0], 'band', { shrinkage: 0, polishMm: 0 });
    const { volume, open } = readStl(stl);
    expect({ open, pieces }).toEqual({ open: 0, pieces: 1 });
    expect(Math.abs(volume / shape.lanes[0].volumeMm3 - 1)).toBeLessThan(1e-5);
    const counts = shape.rows.map(({ count }) => count);
    const grown = await buildShape(withPolishAllowance(design, 0.05, counts), kernel);
    // 0.05 mm over some 4 cm² of surface: a twentieth, and no more than a sixth
    const more = grown.lanes[0].volumeMm3 / shape.lanes[0].volumeMm3;
    expect(more).toBeGreaterThan(1.02);
    expect(more).toBeLessThan(1.16);
  });

  it('is a model that the Khronos validator finds nothing wrong with', async () => {
    const stones = shape.rows.map(() => DIAMOND);
    const way = { name: 'Gold', alloys: [GOLD], finishes: [POLISHED], bore: POLISHED, stones };
    const report = await validateGlb(await buildGlb(shape, [way]));
    expect(report.issues.filter(({ severity }) => severity === 'error' || severity === 'warning')).toEqual(
      [],
    );
    expect(report.clean).toBe(true);
  });
});
