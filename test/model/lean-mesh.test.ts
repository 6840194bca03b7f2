import { expect, it } from 'vitest';
import { leanTogether } from '../../pipeline/model/lean-mesh.ts';
import { lightPathMm, shareThrough } from '../../pipeline/model/stone-path.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { cutStone } from '../../pipeline/setting/stone.ts';
import { wavyDesign } from '../band/designs.ts';

const places = ({ positions, indices }: { positions: Float32Array; indices: Uint32Array }) =>
  new Set(Array.from(indices, (v) => positions.subarray(3 * v, 3 * v + 3).join()));

it('lanes made lean keep every point of a seam on either side, so that no crack opens between them', async () => {
  const { lanes } = await buildShape(wavyDesign());
  const meshes = lanes.map(({ mesh }) => mesh);
  const lean = await leanTogether(meshes);
  for (let i = 1; i < meshes.length; i++) {
    const [low, high] = [places(meshes[i - 1]), places(meshes[i])];
    const seam = [...low].filter((p) => high.has(p));
    expect(seam.length).toBeGreaterThan(100);
    const [left, right] = [places(lean[i - 1]), places(lean[i])];
    expect(seam.filter((p) => !left.has(p) || !right.has(p))).toEqual([]);
  }
  const triangles = (all: typeof meshes) => all.reduce((n, { indices }) => n + indices.length / 3, 0);
  expect(triangles(lean)).toBeLessThan(0.9 * triangles(meshes));
});

it('light comes through a plate, not through a prism that mirrors it, and little of it through a brilliant', () => {
  const { solid } = cutStone('round-brilliant', 2);
  const plate = Float64Array.from([
    1, 0, 0, 9, -1, 0, 0, 9, 0, 1, 0, 9, 0, -1, 0, 9, 0, 0, 1, 0.1, 0, 0, -1, 0.1,
  ]);
  expect(shareThrough({ ...solid, diameterMm: 2, planes: plate })).toBe(1);
  // 45° is past the critical angle of corundum, arcsin(1/1.77) = 34.4°, and tilting along the edge goes further past it
  const s = Math.SQRT1_2;
  const prism = Float64Array.from([0, 0, 1, 0, 0, s, -s, s, 0, -s, -s, s, 1, 0, 0, 9, -1, 0, 0, 9]);
  expect(shareThrough({ ...solid, diameterMm: 2, planes: prism })).toBe(0);
  // its pavilion mirrors what comes in through the table (Tolkowsky, Diamond Design, 1919): a window is the rest
  const brilliant = shareThrough(solid);
  expect(brilliant).toBeGreaterThan(0.05);
  expect(brilliant).toBeLessThan(0.35);
});

it('light goes through a plate once, and in a brilliant down and up again', () => {
  // closed form: a ray that meets a cube’s top square goes straight through it
  const cube = Float64Array.from([1, 0, 0, 1, -1, 0, 0, 1, 0, 1, 0, 1, 0, -1, 0, 1, 0, 0, 1, 1, 0, 0, -1, 1]);
  const { solid } = cutStone('round-brilliant', 2);
  expect(lightPathMm({ ...solid, diameterMm: 2, planes: cube })).toBeCloseTo(2, 9);
  // a right-angled prism, its edge down: over from flank to flank, 2 × depth whatever the place (unfolded, the path is straight)
  const s = Math.SQRT1_2;
  const prism = Float64Array.from([0, 0, 1, 0, s, 0, -s, s, -s, 0, -s, s, 0, 1, 0, 1, 0, -1, 0, 1]);
  expect(lightPathMm({ ...solid, diameterMm: 2, planes: prism })).toBeCloseTo(2, 6);
  for (const cut of ['round-brilliant', 'princess', 'oval-brilliant'] as const) {
    const { solid: stone } = cutStone(cut, 2);
    const share = lightPathMm(stone) / stone.depthMm;
    expect(share).toBeGreaterThan(1.4);
    expect(share).toBeLessThan(4);
  }
});
