import { beforeAll, describe, expect, it } from 'vitest';
import { gapOutline, gapRadius, gapRing } from '../../pipeline/band/gap-outline.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { BypassGap, GapDesign, OpenGap, SplitGap } from '../../pipeline/plan/gap-design.ts';
import { mirroredGap } from '../../pipeline/plan/gap-schema.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { inspectMesh } from '../band/closed-mesh.ts';
import { bandDesign, bandProblems, wavyDesign } from '../band/designs.ts';
import { rowDesign } from './stone-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

const R = 54 / (2 * Math.PI);
const RO = R + 1.6;
const rad = (degrees: number) => (degrees * Math.PI) / 180;

const open: OpenGap = { name: 'gap', kind: 'open', atRad: Math.PI, widthMm: 5, roundMm: 1, softenMm: 0.2 };
const split: SplitGap = {
  name: 'gap',
  kind: 'split',
  atRad: 0,
  spanRad: rad(80),
  widthMm: 1.2,
  across: { share: 0.5, mm: 0 },
  softenMm: 0.2,
};
const bypass: BypassGap = {
  name: 'gap',
  kind: 'bypass',
  atRad: 0,
  spanRad: rad(60),
  widthMm: 0.6,
  roundMm: 0.7,
  from: 'first',
  softenMm: 0.2,
};

const parted = (gap: GapDesign, change: Partial<ShapeDesign> = {}) => bandDesign({ gaps: [gap], ...change });

async function volumeOf(design: ShapeDesign): Promise<number> {
  const { lanes } = await buildShape(design, kernel);
  return lanes.reduce((sum, { volumeMm3 }) => sum + volumeMm3, 0);
}

/** Area within a ring, mm², by the shoelace formula. */
function areaOf(ring: readonly (readonly [number, number])[]): number {
  const sum = ring.reduce((total, [x, z], i) => {
    const [u, v] = ring[(i + 1) % ring.length];
    return total + x * v - u * z;
  }, 0);
  return Math.abs(sum) / 2;
}

/** mm³ that a band of level surfaces loses where so much of its outside is cut away with radial walls. */
const lostUnder = (areaMm2: number) => (areaMm2 * (RO ** 2 - R ** 2)) / (2 * RO);

/** Rims all but sharp, and so corners: what is left of the closed forms' error. */
const sharp = { softenMm: 1e-3 };

describe('a gap takes out of a flat band', () => {
  let whole = 0;
  beforeAll(async () => {
    // the same band unparted: its chords round the finger are not what is measured here
    whole = await volumeOf(bandDesign());
  });

  it('that opens it, a sector of its angle and what the rounded corners add: 4 (1 − π/4) c²', async () => {
    const area = 5 * 4 + 4 * (1 - Math.PI / 4);
    const left = await volumeOf(parted({ ...open, ...sharp }));
    expect(Math.abs((whole - left) / lostUnder(area) - 1)).toBeLessThan(4e-3);
  });

  it('that splits it, an eye |x/a|⁴ + (z/b)² = 1 of area 4ab Γ(5/4) Γ(3/2) / Γ(7/4)', async () => {
    // Γ(5/4), Γ(3/2), Γ(7/4): Abramowitz and Stegun, table 6.1
    const eye = (4 * ((RO * rad(80)) / 2) * 0.6 * (0.9064024771 * 0.8862269255)) / 0.9190625268;
    const left = await volumeOf(parted({ ...split, ...sharp }));
    expect(Math.abs((whole - left) / lostUnder(eye) - 1)).toBeLessThan(6e-3);
  });

  it('whose ends pass each other, a strip as long as its middle line, and four rounded corners', async () => {
    const turn = 0.7 + 0.3;
    const length = 2 * (2 - turn) + Math.PI * turn + (RO * rad(60) - 2 * turn);
    const area = 0.6 * length + 4 * (1 - Math.PI / 4) * 0.7 ** 2;
    const left = await volumeOf(parted({ ...bypass, ...sharp }));
    expect(Math.abs((whole - left) / lostUnder(area) - 1)).toBeLessThan(6e-3);
    const other = await volumeOf(parted({ ...bypass, ...sharp, from: 'second' }));
    expect(other / left).toBeCloseTo(1, 3);
  });

  it('with soft rims as much more as quarter rounds take of its edges, s² (1 − π/4) along both', async () => {
    const s = 0.3;
    const design = parted({ ...split, softenMm: s });
    const ring = gapRing(gapOutline(design, design.gaps![0]));
    const grown = (by: number) => {
      const wide = parted({
        ...split,
        spanRad: split.spanRad + (2 * by) / RO,
        widthMm: split.widthMm + 2 * by,
      });
      return areaOf(gapRing(gapOutline(wide, wide.gaps![0])));
    };
    // the rim's area in plan grows by the offset; Pappus' centroid of a quarter round's corner lies 0.2234 s off the wall
    const perimeter = (grown(0.05) - areaOf(ring)) / 0.05;
    const atOutside = s * s * (1 - Math.PI / 4) * perimeter;
    const lost = (await volumeOf(parted({ ...split, ...sharp }))) - (await volumeOf(design));
    // at the bore the outline is as much shorter as the bore is tighter, along the band only
    expect(lost / (2 * atOutside)).toBeGreaterThan(0.88);
    expect(lost / (2 * atOutside)).toBeLessThan(1.06);
  });
});

describe('a parted band', () => {
  it.each([
    ['open', open, 0],
    ['split', split, 2],
    ['bypass', bypass, 0],
  ] as const)('%s is one closed solid a lane, of the genus that the gap leaves', async (_, gap, genus) => {
    const { lanes } = await buildShape(parted(gap), kernel);
    expect(lanes).toHaveLength(1);
    expect(inspectMesh(lanes[0].mesh)).toMatchObject({ looseEdges: 0, genus });
  });

  it('of several recessed lanes with soft edges is parted in each, and stays whole in each', async () => {
    const design = wavyDesign({
      gaps: [
        { ...open, atRad: 2.5 },
        { ...split, across: { share: 0.3, mm: 0 } },
      ],
    });
    const { lanes } = await buildShape(design, kernel);
    for (const { mesh } of lanes) expect(inspectMesh(mesh).looseEdges).toBe(0);
  });

  it('leaves no metal within the gap and takes none beyond its rims', async () => {
    const design = parted(bypass, { section: { ...bandDesign().section, edgeMm: 0.2, boreEdgeMm: 0.15 } });
    const [{ mesh }] = (await buildShape(design, kernel)).lanes;
    const ring = gapRing(gapOutline(design, bypass));
    const within = (x: number, z: number, grow: number) => {
      let inside = false;
      ring.forEach(([ax, az], i) => {
        const [bx, bz] = ring[(i + 1) % ring.length];
        if (az > z !== bz > z && x < ax + ((z - az) / (bz - az)) * (bx - ax)) inside = !inside;
      });
      return inside && ring.every(([a, b]) => Math.hypot(a - x, b - z) > grow);
    };
    for (let i = 0; i < mesh.positions.length; i += 3) {
      const [x, y, z] = mesh.positions.subarray(i, i + 3);
      expect(within(gapRadius(design) * Math.atan2(x, y), z, 0.02)).toBe(false);
    }
  });

  it('mirrors: an eye goes to the other side, a passing gap to the other hand', () => {
    const eye = mirroredGap({
      kind: 'split',
      at: 0,
      span: 1,
      width: 1,
      across: { share: 0.3, mm: 0.1 },
      soften: 0.2,
    });
    expect(eye).toMatchObject({ across: { share: 0.7, mm: -0.1 } });
    const design = parted(bypass);
    const other = gapRing(gapOutline(design, { ...bypass, from: 'second' }));
    const mirrored = gapRing(gapOutline(design, bypass)).map(
      ([x, z]) => `${x.toFixed(6)} ${(-z).toFixed(6)}`,
    );
    expect(new Set(other.map(([x, z]) => `${x.toFixed(6)} ${z.toFixed(6)}`))).toEqual(new Set(mirrored));
  });

  it.each([
    ['gap-round', { ...open, roundMm: 0.21 }],
    ['gap-round', { ...open, roundMm: 2.2 }],
    ['gap-round', { ...bypass, roundMm: 1.2 }],
    ['gap-wide', { ...open, widthMm: 28 }],
    ['gap-short', { ...split, spanRad: 0.2 }],
    ['gap-short', { ...bypass, spanRad: 0.2 }],
    ['gap-at-edge', { ...split, widthMm: 3.4 }],
    ['gap-soften', { ...split, softenMm: 0.8, widthMm: 0.6 }],
  ] satisfies [string, GapDesign][])('is refused as %s with a measure', (code, gap) => {
    const problems = bandProblems(parted(gap));
    expect(problems.map((each) => each.code)).toEqual([code]);
    expect(problems[0].path).toMatch(/^gaps\.gap/);
    expect(problems[0].expected).toMatch(/\d (mm|°)|\d°/);
  });

  it('is refused where gaps meet, open it twice, or come near a stone', async () => {
    const twice = bandDesign({ gaps: [open, { ...open, name: 'other', atRad: 0 }] });
    expect(bandProblems(twice).map(({ code }) => code)).toContain('gap-twice');
    const meeting = bandDesign({ gaps: [split, { ...split, name: 'other', atRad: 0.5 }] });
    expect(bandProblems(meeting).map(({ code }) => code)).toEqual(['gaps-meet']);
    const stones = parted(open, { rows: [rowDesign({ setDepthMm: 0.1 })], thicknessMm: 1.9 });
    const refused = buildShape(stones, kernel);
    await expect(refused).rejects.toThrow(ProblemError);
    await expect(refused).rejects.toThrow(/stone of row 'row'/);
  });
});
