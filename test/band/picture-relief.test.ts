import { describe, expect, it } from 'vitest';
import { buildLanes } from '../../pipeline/band/build-lanes.ts';
import { lanesOf } from '../../pipeline/band/lane.ts';
import { reliefField } from '../../pipeline/band/lane-relief.ts';
import { halfDepthLines, softeningMm } from '../../pipeline/band/picture-relief.ts';
import { radiusAt } from '../../pipeline/band/profile.ts';
import { cellsRound } from '../../pipeline/band/texture.ts';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { PictureDesign } from '../../pipeline/plan/texture-design.ts';
import { inspectMesh } from './closed-mesh.ts';
import { bandDesign, bandProblems } from './designs.ts';

/** A picture whose place (column, row) is as dark as told, 0 to 1. */
const grey = (columns: number, rows: number, dark: (i: number, j: number) => number) => {
  const bytes = Array.from({ length: columns * rows }, (_, k) =>
    Math.round(255 * dark(k % columns, Math.floor(k / columns))),
  );
  return `grey ${columns}x${rows} ${btoa(String.fromCharCode(...bytes))}`;
};
const DEPTH = 0.12;
/** A dark square in a picture of 40 × 20 places. */
const SQUARE = grey(40, 20, (i, j) => (i >= 15 && i < 25 && j >= 5 && j < 15 ? 1 : 0));

function pictured(
  change: Partial<PictureDesign> = {},
  texture: { depthMm?: number; sizeMm?: number } = {},
  band: Partial<ShapeDesign> = {},
): ShapeDesign {
  const picture = { grey: SQUARE, heightMm: 3, raised: false, seamless: false, ...change };
  const own = { pattern: 'picture', depthMm: DEPTH, sizeMm: 9, seed: 1, picture, ...texture } as const;
  return bandDesign({
    circumferenceMm: 46,
    widthMm: 4.6,
    thicknessMm: 1.8,
    section: { name: 'flat', domeMm: 0, comfortMm: 0, edgeMm: 0.2, boreEdgeMm: 0.2 },
    lanes: [{ name: 'all', recessMm: 0, softenMm: 0.2, texture: own }],
    ...band,
  });
}

const laneOf = (design: ShapeDesign) => lanesOf(design)[0];
const outside = (design: ShapeDesign) => radiusAt(laneOf(design).outer(0), 0);

describe('a picture in relief', () => {
  it('takes the area of its darkness times its depth off a flat band, once for each place', () => {
    const design = pictured();
    const count = cellsRound(laneOf(design).outer, design.lanes[0].texture!);
    expect(count).toBe(Math.round((2 * Math.PI * outside(design)) / 9));
    // a Gaussian keeps the sum of what it softens; a column of the ring is narrower by half its depth
    const volume = count * 1.5 ** 2 * DEPTH * (1 - DEPTH / (2 * outside(design)));
    const [{ mesh }] = buildLanes(design);
    const plain = meshVolume(buildLanes(pictured({}, { depthMm: 0 }))[0].mesh);
    expect(inspectMesh(mesh)).toMatchObject({ looseEdges: 0, genus: 1 });
    expect(inspectMesh(mesh).leastCosine).toBeGreaterThan(0.5);
    expect((plain - meshVolume(mesh)) / volume).toBeCloseTo(1, 1);
  });

  it('is an edge softened by a Gaussian: half its depth at the edge, 45° there at the steepest', () => {
    const design = pictured({ grey: grey(80, 40, (i) => (i >= 40 ? 1 : 0)) }, { depthMm: 0.3 });
    const field = reliefField(laneOf(design))!;
    const r = outside(design);
    const at = (s: number) => field(s / r, 0);
    expect(at(0)).toBeCloseTo(-0.15, 3);
    const steepest = (at(-0.01) - at(0.01)) / 0.02;
    expect(steepest).toBeGreaterThan(0.9);
    expect(steepest).toBeLessThan(1.01);
    // 15.87 % and 84.13 % of the way at one standard deviation from the edge (tables of the normal distribution)
    const sigma = softeningMm(design.lanes[0].texture!.picture!, 0.3);
    expect(sigma).toBeCloseTo(0.3 / Math.sqrt(2 * Math.PI), 9);
    expect(-at(-sigma) / 0.3).toBeCloseTo(0.1587, 2);
    expect(-at(sigma) / 0.3).toBeCloseTo(0.8413, 2);
  });

  it('stands upright to who looks with the first edge up, white beyond it; raised, all but the dark is lowered', () => {
    // dark in its upper left quarter
    const corner = grey(40, 20, (i, j) => (i < 20 && j < 10 ? 1 : 0));
    const [cut, raised] = [false, true].map((r) => {
      const design = pictured({ grey: corner, raised: r });
      return { field: reliefField(laneOf(design))!, r: outside(design) };
    });
    for (const { field, r } of [cut]) {
      expect(field(-1.5 / r, -0.7)).toBeCloseTo(-DEPTH, 3);
      for (const [s, z] of [
        [1.5, -0.7],
        [-1.5, 0.7],
        [-4, -0.7],
      ])
        expect(field(s / r, z)).toBeCloseTo(0, 3);
    }
    expect(raised.field(-1.5 / raised.r, -0.7)).toBeCloseTo(0, 3);
    expect(raised.field(-4 / raised.r, -0.7)).toBeCloseTo(-DEPTH, 3);
  });

  it('closes edge to edge round every size where it has no size of its own', () => {
    // a wave of grey along it, so that any break would show
    const wave = grey(60, 20, (i) => 0.5 + 0.5 * Math.cos((2 * Math.PI * (i + 0.5)) / 60));
    for (const circumferenceMm of [46, 52.3, 61]) {
      const design = pictured(
        { grey: wave, seamless: true, heightMm: 2.5 },
        { sizeMm: 7.5 },
        { circumferenceMm },
      );
      expect(bandProblems(design)).toEqual([]);
      const lane = laneOf(design);
      const field = reliefField(lane)!;
      const count = cellsRound(lane.outer, design.lanes[0].texture!);
      for (let k = 0; k < count; k++) {
        const pitch = (2 * Math.PI) / count;
        const seam = (k + 0.5) * pitch;
        expect(field(seam - 1e-6, 0.1)).toBeCloseTo(field(seam + 1e-6, 0.1), 4);
        expect(field(seam, 0)).toBeLessThan(-0.95 * DEPTH);
        expect(field(k * pitch, 0)).toBeGreaterThan(-0.05 * DEPTH);
      }
    }
  });

  it('is drawn for the bench by closed lines at half its depth', () => {
    const lines = halfDepthLines({ grey: SQUARE, heightMm: 3, raised: false, seamless: false }, 0.1);
    expect(lines).toHaveLength(1);
    const [square] = lines;
    const area = square.reduce((sum, [x, y], i) => {
      const [a, b] = square[(i + 1) % square.length];
      return sum + (x * b - a * y) / 2;
    }, 0);
    // corners are cut off by half a place
    expect(Math.abs(area)).toBeCloseTo(1.1 * (1.5 ** 2 - 4 * (0.15 ** 2 / 8)), 6);
    const ring = grey(20, 20, (i, j) =>
      Math.hypot(i - 9.5, j - 9.5) > 7 || Math.hypot(i - 9.5, j - 9.5) < 3 ? 0 : 1,
    );
    expect(halfDepthLines({ grey: ring, heightMm: 3, raised: false, seamless: false }, 0)).toHaveLength(2);
  });

  it('is refused with its place where it does not fit or would be drawn out of shape', () => {
    const codes = (design: ShapeDesign) => bandProblems(design).map(({ code, path }) => [code, path]);
    expect(codes(pictured())).toEqual([]);
    expect(codes(pictured({}, { sizeMm: 5 }))).toEqual([['picture-too-long', 'lanes.all.texture.size']]);
    expect(codes(pictured({ heightMm: 4.5 }, { sizeMm: 20 }))).toEqual([
      ['picture-too-high', 'lanes.all.texture.height'],
    ]);
    const long = grey(100, 8, (i) => i / 100);
    expect(codes(pictured({ grey: long, seamless: true, heightMm: 3.2 }, { sizeMm: 40 }))).toEqual([
      ['picture-does-not-close', 'lanes.all.texture.height'],
    ]);
  });
});
