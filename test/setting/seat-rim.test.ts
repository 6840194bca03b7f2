import { expect, it } from 'vitest';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import { rimHeight, seatCutters, seatFor } from '../../pipeline/setting/seat.ts';
import { cutStone, type Frame } from '../../pipeline/setting/stone.ts';

const PLACE: Frame = { origin: [0, 10, 0], x: [1, 0, 0], y: [0, 0, -1], axis: [0, 1, 0] };
const [RIM, TOP] = [0.06, 0.16];

it('a seat’s rim opens at 45°: a cone’s frustum more than the straight opening takes', () => {
  const stone = cutStone('round-brilliant', 1.5);
  const seat = seatFor(stone, 0.6);
  if (seat.opening.kind !== 'round') throw new Error('a round seat');
  const R = seat.opening.radius;
  const volume = (from?: number) => {
    const rim = from === undefined ? undefined : { from, to: TOP };
    return meshVolume(seatCutters(PLACE, stone, seat, TOP, -2, 256, rim)[0]);
  };
  const flare = (Math.PI * ((R + TOP - RIM) ** 3 - R ** 3)) / 3 - Math.PI * R * R * (TOP - RIM);
  expect((volume(RIM) - volume()) / flare).toBeCloseTo(1, 2);
});

it('the rim of a square seat is a pyramid’s frustum about its opening', () => {
  const stone = cutStone('princess', 1.6);
  const seat = seatFor(stone, 0.5);
  if (seat.opening.kind !== 'polygon') throw new Error('a faceted seat');
  const xs = seat.opening.corners.map(([x]) => x);
  const side = Math.max(...xs) - Math.min(...xs);
  const cutters = seatCutters(PLACE, stone, seat, TOP, -2, 64, { from: RIM, to: TOP });
  expect(cutters).toHaveLength(seatCutters(PLACE, stone, seat, TOP, -2, 64).length + 1);
  // it begins 0.04 mm lower, where it lies within the opening
  const [low, high] = [side - 2 * 0.04, side + 2 * (TOP - RIM)];
  const corners = seat.opening.corners.length;
  if (corners === 4) expect(meshVolume(cutters[1]) / ((high ** 3 - low ** 3) / 6)).toBeCloseTo(1, 3);
});

it('takes 0.04 mm off the rim, a third of what is left between near neighbours, and nothing where no wall stands', () => {
  const seat = seatFor(cutStone('round-brilliant', 1.5), 0.6);
  expect(rimHeight(seat, 0.1, 1)).toBeCloseTo(0.06, 12);
  expect(rimHeight(seat, 0.1, 2 * seat.air + 0.06)).toBeCloseTo(0.08, 12);
  expect(rimHeight(seat, 0.1, 2 * seat.air)).toBeUndefined();
  expect(rimHeight(seat, seat.bearingTop, 1)).toBeUndefined();
});
