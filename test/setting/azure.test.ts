import { beforeAll, describe, expect, it } from 'vitest';
import type { TriMesh } from '../../pipeline/band/built-shape.ts';
import { lanesOf } from '../../pipeline/band/lane.ts';
import type { RowDesign, ShapeDesign } from '../../pipeline/plan/design.ts';
import { isRefused } from '../../pipeline/problem.ts';
import { holeAt } from '../../pipeline/setting/azure.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { planRow } from '../../pipeline/setting/row-plan.ts';
import { radiusOf, type Seat, seatCutters, seatFor } from '../../pipeline/setting/seat.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { cutStone, type Frame } from '../../pipeline/setting/stone.ts';
import { solidFrom } from './bare-solid.ts';
import { expectSoundSet } from './sound-set.ts';
import { BRIGHT_GRAIN, straightRowDesign } from './stone-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

const top = { kind: 'arc', angleRad: 0.9 } as const;
const AZURE = { holeShare: 0.4, azureShare: 0.85 } as const;
const azureDesign = (row: Partial<RowDesign> = {}, change: Partial<ShapeDesign> = {}) =>
  straightRowDesign({ coverage: top, ...AZURE, ...row }, change);

function planned(design: ShapeDesign) {
  const row = planRow(design.rows[0], 0, lanesOf(design));
  if (isRefused(row)) throw new Error(JSON.stringify(row.problems));
  return row;
}

describe.each([
  ['brilliants under claws', azureDesign()],
  ['a full row', azureDesign({ coverage: { kind: 'full' } })],
  [
    'squares',
    azureDesign(
      {
        cut: 'princess',
        diameterMm: 1.4,
        setDepthMm: 0.15,
        setting: { ...BRIGHT_GRAIN, fieldDepthMm: 0.06 },
      },
      { widthMm: 4 },
    ),
  ],
  ['channel set', azureDesign({ setDepthMm: 0.2, setting: { style: 'channel', openingShare: 0.9 } })],
  ['flush', azureDesign({ diameterMm: 1.2, leastGapMm: 0.8, setting: { style: 'flush', lipMm: 0.08 } })],
] as [string, ShapeDesign][])('azured holes of %s', (_, design) => {
  it('make one manifold with a hole a stone, wider at the bore, with metal between', async () => {
    const { sets, members } = planned(design);
    const [{ seat, places }] = sets;
    expect(seat.azure).toBeDefined();
    const width = (girdle: Seat['hole']) => {
      if (girdle?.kind === 'polygon') return 2 * Math.max(...girdle.corners.map(([x]) => x));
      return 2 * radiusOf(girdle);
    };
    const atBore = width(holeAt(seat, places[0].bore));
    expect(atBore).toBeGreaterThan(width(seat.hole) + 0.06);
    expect(atBore).toBeLessThanOrEqual(0.85 * width(seat.opening) + 0.05);
    // middles of neighbours at the bore, apart by no less than the bridge of 0.25 mm (common practice)
    const middles = members.map(({ place: { frame, bore } }) =>
      frame.origin.map((o, k) => o + frame.axis[k] * bore),
    );
    for (let i = 1; i < middles.length; i++) {
      const apart = Math.hypot(...middles[i].map((v, k) => v - middles[i - 1][k]));
      expect(apart - atBore).toBeGreaterThan(0.245);
    }
    const shape = await buildShape(design, kernel);
    expectSoundSet(kernel, shape, 0, 1 + shape.rows[0].count);
    expect(shape.checks.filter(({ severity, passed }) => severity === 'error' && !passed)).toEqual([]);
  });
});

it('are cut as frustums (closed form) below a straight hole', () => {
  const stone = cutStone('round-brilliant', 1.5);
  const straight = seatFor(stone, 0.4);
  const [from, bottom, slope] = [-0.9, -1.9, 0.3];
  const flat: Frame = { origin: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], axis: [0, 0, 1] };
  const volume = (seat: Seat) => {
    const solid = solidFrom(kernel, seatCutters(flat, stone, seat, 1, bottom, 256)[0] as TriMesh);
    const size = solid.volume();
    solid.delete();
    return size;
  };
  const r = radiusOf(straight.hole);
  const wide = r + slope * (from - bottom);
  const frustum = (Math.PI / 3) * (from - bottom) * (r * r + r * wide + wide * wide);
  const cylinder = Math.PI * r * r * (from - bottom);
  const more = volume({ ...straight, azure: { from, slope } }) - volume(straight);
  // the ring of a narrower circle has fewer than 256 sides: an inscribed polygon of 100 takes 0.07 % less
  expect(Math.abs(more / (frustum - cylinder) - 1)).toBeLessThan(2e-3);
});

it('stay straight where neighbours leave no room', () => {
  const [{ seat }] = planned(azureDesign({ holeShare: 0.85, azureShare: 0.9 })).sets;
  expect(seat.azure).toBeUndefined();
});
