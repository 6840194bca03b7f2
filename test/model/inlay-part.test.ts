import { describe, expect, it } from 'vitest';
import { castPart } from '../../pipeline/model/cast-part.ts';
import { partMesh } from '../../pipeline/model/part-mesh.ts';
import { stlVolume } from '../../pipeline/model/stl.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { bandDesign } from '../band/designs.ts';
import { solidFrom } from '../setting/bare-solid.ts';

const lane = (name: string, more = {}) => ({ name, recessMm: 0, softenMm: 0, ...more });

function inlaid(change: Partial<ShapeDesign> = {}): ShapeDesign {
  return bandDesign({
    widthMm: 6,
    thicknessMm: 2,
    seams: [
      { kind: 'wave', atMm: -1.2, amplitudeMm: 0.3, periods: 5, sharpness: 0.2, phaseRad: 0 },
      { kind: 'straight', atMm: 1 },
    ],
    lanes: [
      lane('near', { softenMm: 0.1 }),
      lane('strip', { softenMm: 0.1, recessMm: 0.1, inlay: { depthMm: 0.8, bed: 'near' } }),
      lane('far', { softenMm: 0.1 }),
    ],
    ...change,
  });
}

describe('a caster’s part with a channel for an inlay', () => {
  it('is one closed ring of the volume of its lanes when both sides are of one alloy', async () => {
    const kernel = await loadSolidKernel();
    const shape = await buildShape(inlaid());
    const part = await partMesh(shape, [0, 2], kernel);
    expect(part.pieces).toHaveLength(1);
    const solid = solidFrom(kernel, { ...part, normals: new Float32Array(part.positions.length) });
    const bodies = solid.decompose();
    expect(bodies).toHaveLength(1);
    expect(solid.genus()).toBe(1);
    const lanes = shape.lanes[0].volumeMm3 + shape.lanes[2].volumeMm3;
    expect(Math.abs(solid.volume() / lanes - 1)).toBeLessThan(2e-4);
    for (const s of [solid, ...bodies]) s.delete();
  });

  it('has room for the strip: what bed and strip have in common is nothing', async () => {
    const kernel = await loadSolidKernel();
    const shape = await buildShape(inlaid());
    const [bed, strip] = shape.lanes.map(({ mesh }) => solidFrom(kernel, mesh));
    const common = kernel.Manifold.intersection(bed, strip);
    expect(common.volume()).toBeLessThan(0.02);
    for (const s of [bed, strip, common]) s.delete();
  });

  it('is written enlarged for shrinkage, and read back at its volume', async () => {
    const shape = await buildShape(inlaid());
    const { stl, volumeMm3, pieces } = await castPart(shape, [0, 2], 'bed', {
      shrinkage: 0.015,
      polishMm: 0,
    });
    expect(pieces).toBe(1);
    expect(Math.abs(stlVolume(stl) / (volumeMm3 * 1.015 ** 3) - 1)).toBeLessThan(1e-3);
  });

  it('is in as many pieces as hang together', async () => {
    const through = await buildShape(inlaid({ lanes: inlaid().lanes.map(({ inlay, ...l }) => l) }));
    expect((await partMesh(through, [0, 2])).pieces).toHaveLength(2);
    const five = bandDesign({
      widthMm: 8,
      seams: [-2.4, -1, 1, 2.4].map((atMm) => ({ kind: 'straight', atMm })),
      lanes: [lane('a'), lane('b', { inlay: { depthMm: 0.6, bed: 'c' } }), lane('c'), lane('d'), lane('e')],
    });
    const shape = await buildShape(five);
    // a and c touch beneath b; e stands apart from them
    expect((await partMesh(shape, [0, 2, 4])).pieces).toHaveLength(2);
    expect((await partMesh(shape, [1, 3])).pieces).toHaveLength(2);
  });
});
