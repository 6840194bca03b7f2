import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { buildLanes } from '../../pipeline/band/build-lanes.ts';
import type { BuiltShape } from '../../pipeline/band/built-shape.ts';
import { leastApartOf, strandsOf } from '../../pipeline/band/strand.ts';
import { pointAt, type StrandCurve, strandLength } from '../../pipeline/band/strand-curve.ts';
import { strandSection } from '../../pipeline/band/strand-mesh.ts';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import { partBodies } from '../../pipeline/model/part-bodies.ts';
import { partMesh } from '../../pipeline/model/part-mesh.ts';
import { unrolledDrawing } from '../../pipeline/papers/bench-drawing.ts';
import { workingMeasures } from '../../pipeline/papers/working-measures.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { StrandsDesign } from '../../pipeline/plan/strands-design.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { config, planOf, problemsOf } from '../plan/workspace.ts';
import { solidFrom } from '../setting/bare-solid.ts';
import { builtOrRefused } from '../setting/built-or-refused.ts';
import { inspectMesh } from './closed-mesh.ts';
import { expectGrownWires, LOOSE, wiresDesign } from './strand-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

const FORMS: [string, number, Partial<StrandsDesign>][] = [
  ['a twist of two', 2, {}],
  ['a twist of three', 3, {}],
  ['a twist of five', 5, { turns: 6 }],
  ['a plait of three', 3, { kind: 'braid', turns: 8 }],
  ['a plait of five', 5, { kind: 'braid', turns: 5 }],
];

describe.each(FORMS)('%s', (_, count, strands) => {
  const design = wiresDesign(count, strands);
  const solved = strandsOf(design)!;
  let lanes: ReturnType<typeof buildLanes>;
  beforeAll(() => {
    lanes = buildLanes(design);
  });

  it('is made of closed rings, each of its section’s area times its length', () => {
    // a tube of any cross-section about the line through its middle: Gray, Tubes, 2nd ed. 2004, from memory
    for (const [k, { mesh }] of lanes.entries()) {
      expect(inspectMesh(mesh)).toMatchObject({ looseEdges: 0, genus: 1 });
      const closed = (Math.PI / 4) * solved.wireMm ** 2 * strandLength(solved.curves[k], solved.repeats);
      expect(meshVolume(mesh) / closed).toBeGreaterThan(0.997);
      expect(meshVolume(mesh) / closed).toBeLessThan(1.001);
    }
  });

  it('fills its width and thickness and leaves the bore its size', () => {
    const radii: number[] = [];
    const across: number[] = [];
    for (const { mesh } of lanes) {
      for (let i = 0; i < mesh.positions.length; i += 3) {
        radii.push(Math.hypot(mesh.positions[i], mesh.positions[i + 1]));
        across.push(mesh.positions[i + 2]);
      }
    }
    const bore = design.circumferenceMm / (2 * Math.PI);
    const [least, most] = [radii.reduce((a, b) => Math.min(a, b)), radii.reduce((a, b) => Math.max(a, b))];
    expect(least).toBeCloseTo(bore, 1);
    expect(most).toBeCloseTo(bore + design.thicknessMm, 1);
    expect(across.reduce((a, b) => Math.max(a, b))).toBeCloseTo(design.widthMm / 2, 1);
  });

  it('keeps the air that is asked for, by the solids themselves', () => {
    const solids = buildLanes({ ...design, chordToleranceMm: 0.02 }).map(({ mesh }) =>
      solidFrom(kernel, mesh),
    );
    let least = Number.POSITIVE_INFINITY;
    solids.forEach((a, i) => {
      for (const b of solids.slice(i + 1)) least = Math.min(least, a.minGap(b, 0.3));
    });
    // wires are polygons of their circle’s area, whose corners stand out of it by 1 % and less
    expect(least).toBeGreaterThan(0.2 - 0.03);
    expect(least).toBeLessThan(0.2 + 0.03);
    for (const solid of solids) solid.delete();
  });

  describe('for the caster', () => {
    const coarse = { chordToleranceMm: 0.03 };
    const all = Array.from({ length: count }, (_, i) => i);
    const between = { kind: 'joined', overlapMm: 0.1 } as const;
    let joined: BuiltShape;
    beforeAll(async () => {
      joined = await buildShape(wiresDesign(count, { ...strands, between }, coarse), kernel);
    });

    it('joined is one part, and loose as many as there are wires', async () => {
      const loose = await buildShape(wiresDesign(count, strands, coarse), kernel);
      for (const [shape, pieces] of [
        [joined, 1],
        [loose, count],
      ] as const) {
        const part = await partMesh(shape, all, kernel);
        expect(part.pieces).toHaveLength(pieces);
        expect(partBodies(part)).toHaveLength(pieces);
      }
    });

    it('joined is one casting whose wires share nothing', () => {
      const solids = joined.lanes.map(({ mesh }) => solidFrom(kernel, mesh));
      for (const { mesh } of joined.lanes) expect(inspectMesh(mesh).looseEdges).toBe(0);
      const whole = kernel.Manifold.union(solids);
      const parts = whole.decompose();
      // faces that touch differ by what 32-bit floats lose: specks between them
      const [largest, ...specks] = parts.map((part) => part.volume()).sort((a, b) => b - a);
      expect(largest / whole.volume()).toBeCloseTo(1, 6);
      for (const speck of specks) expect(Math.abs(speck)).toBeLessThan(1e-4);
      const sum = joined.lanes.reduce((total, { volumeMm3 }) => total + volumeMm3, 0);
      expect(whole.volume() / sum).toBeCloseTo(1, 5);
      expect(joined.checks.map(({ rule }) => rule)).toContain('strand-wire');
      for (const solid of [...solids, whole, ...parts]) solid.delete();
    });
  });
});

describe('a twist', () => {
  it('is as long as its helix: √((2πa m)² + (2πR)²) for a small turn about a wide circle', () => {
    // round turns: width and thickness alike
    const design = wiresDesign(
      2,
      { turns: 40, wireMm: 0.4 },
      { widthMm: 2, thicknessMm: 2, circumferenceMm: 400 },
    );
    const [curve] = strandsOf(design)!.curves;
    const middle = 400 / (2 * Math.PI) + 1;
    const helix = 2 * Math.PI * Math.hypot(0.8 * 40, middle);
    expect(strandLength(curve, 40) / helix).toBeCloseTo(1, 3);
  });
});

describe('a plait', () => {
  it('has whichever wire comes in over the one that goes out, at every crossing', () => {
    const { curves, repeats } = strandsOf(wiresDesign(3, { kind: 'braid', turns: 8 }))!;
    const crossings: boolean[] = [];
    const [a, b] = curves;
    const apart = (theta: number) => a.z(theta) - b.z(theta);
    const steps = 4000;
    for (let i = 0; i < steps; i++) {
      const [from, to] = [i, i + 1].map((k) => (2 * Math.PI * k) / steps);
      if (apart(from) * apart(to) >= 0) continue;
      const inwards = (c: StrandCurve) => c.z(from) * c.dz[0](from) < 0;
      const [over, under] = a.r(from) > b.r(from) ? [a, b] : [b, a];
      crossings.push(inwards(over) && !inwards(under));
    }
    // two wires meet twice in a repeat
    expect(crossings).toHaveLength(2 * repeats);
    expect(crossings.every(Boolean)).toBe(true);
  });

  it('to the left is the mirror image of one to the right', () => {
    const [right, left] = (['right', 'left'] as const).map(
      (hand) => strandsOf(wiresDesign(3, { kind: 'braid', turns: 8, hand }))!.curves[1],
    );
    for (const theta of [0, 1, 2.5]) {
      const [[x, y, z], [mx, my, mz]] = [pointAt(right, theta), pointAt(left, theta)];
      expect([mx, my, -mz]).toEqual([x, y, z]);
    }
  });
});

it('a section lies on the wire’s surface and in its half-plane', () => {
  const { curves, wireMm } = strandsOf(wiresDesign(3, { kind: 'braid', turns: 8 }))!;
  const outline = strandSection(curves[0], wireMm, 0.3);
  for (const { z, r } of outline) {
    const p = [r * Math.sin(0.3), r * Math.cos(0.3), z];
    let least = Number.POSITIVE_INFINITY;
    for (let t = 0; t < 1; t += 2e-4) {
      const q = pointAt(curves[0], t - 0.2);
      least = Math.min(least, Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]));
    }
    expect(least).toBeCloseTo(wireMm / 2, 4);
  }
});

it('the drawing leaves a wire out where it passes under another', () => {
  const drawing = unrolledDrawing(wiresDesign(3, { kind: 'braid', turns: 8 }));
  const parts = [...drawing.matchAll(/data-lane="wire-0"/g)];
  // under the other two twice each in a repeat less the two times that it lies over them, and what the back parts
  expect(parts.length).toBeGreaterThanOrEqual(2 * 8);
  expect(parts.length).toBeLessThanOrEqual(2 * 8 + 1);
});

it('the bench is told how long each wire is, and of no strip to bend', () => {
  const design = wiresDesign(
    2,
    { turns: 40, wireMm: 0.4 },
    { widthMm: 2, thicknessMm: 2, circumferenceMm: 400 },
  );
  const { wires: told, blank, lanes, seams } = workingMeasures(design);
  const helix = 2 * Math.PI * Math.hypot(0.8 * 40, 400 / (2 * Math.PI) + 1);
  for (const { diameterMm, lengthMm } of told) {
    expect(diameterMm).toBe(0.4);
    expect(lengthMm / helix).toBeCloseTo(1, 3);
  }
  expect([told.length, blank, lanes, seams]).toEqual([2, undefined, [], []]);
});

it('metal for polishing lies all round the wires, whose middles stay', () => {
  expectGrownWires(wiresDesign(3, { kind: 'braid', turns: 8 }), 0.05);
});

describe('refusals', () => {
  const codes = async (design: ShapeDesign) => {
    const error = await buildShape(design, kernel).catch((e: unknown) => e);
    return error instanceof ProblemError ? error.problems.map(({ code }) => code) : [];
  };

  it.each([
    ['no room', wiresDesign(3, {}, { thicknessMm: 0.6 }), 'strands-no-room'],
    ['wires that touch', wiresDesign(3, { wireMm: 1.6 }), 'strands-touch'],
    [
      'wires that do not',
      wiresDesign(3, { wireMm: 0.6, between: { kind: 'joined', overlapMm: 0.1 } }),
      'strands-apart',
    ],
    [
      'wires that are one',
      wiresDesign(2, { wireMm: 2.6, between: { kind: 'joined', overlapMm: 0.1 } }),
      'strands-merge',
    ],
    ['bends too tight', wiresDesign(3, { kind: 'braid', turns: 40, wireMm: 0.8 }), 'strands-bend'],
  ])('%s', async (_, design, code) => {
    expect(await codes(design)).toContain(code);
  });

  const text = (more: string, lanes = 3) => {
    const names = Array.from({ length: lanes }, (_, i) => `w${i}: { alloy: yellow-18 }`).join(', ');
    return {
      'own.yaml': `title: Wires\nsection: { name: flat }\nwidth: 4 mm\nthickness: 2.6 mm\nlanes: { ${names} }\n${more}\n`,
    };
  };
  const CONFIG = config({
    template: 'template: ./own.yaml',
    grid: 'grid: { size: [ISO 54, ISO 70] }',
    shots: 'shots: [front]',
    origins: '',
    treatments: '',
  });

  it('templates say how many turns or how long one is, and keep that length in every size', async () => {
    const { plan } = await planOf(CONFIG, text('strands: { kind: braid, pitch: 7 mm }'));
    const turns = Object.values(plan.shapes).map(({ strands }) => strands!.turns);
    expect(turns).toEqual([54, 70].map((c) => Math.round((c + Math.PI * 2.6) / 7)));
  });

  it.each([
    ['strands: { kind: braid, turns: 8 }', 2, 'lanes'],
    ['strands: { kind: braid }', 3, 'strands'],
    ['strands: { kind: twist, turns: 8 }\nflat: { length: 8 mm }', 3, 'flat'],
    [
      'strands: { kind: twist, turns: 8 }\nrows: { r: { lane: w0, diameter: 1 mm, setting: none } }',
      3,
      'rows',
    ],
  ])('%s with %i lanes', async (more, lanes, path) => {
    const found = await problemsOf(CONFIG, text(more, lanes));
    expect(found.map((p) => p.path)).toContain(path);
    expect(found.some(({ code }) => code === 'strands-conflict')).toBe(true);
  });
});

it('wires of any measures are refused with reasons or closed, and keep apart as asked', async () => {
  const any = fc.record({
    kind: fc.constantFrom('twist' as const, 'braid' as const),
    count: fc.integer({ min: 2, max: 5 }),
    turns: fc.integer({ min: 2, max: 16 }),
    widthMm: fc.double({ min: 1.5, max: 8, noNaN: true }),
    thicknessMm: fc.double({ min: 1.2, max: 4, noNaN: true }),
    wireMm: fc.option(fc.double({ min: 0.4, max: 2, noNaN: true }), { nil: undefined }),
    joined: fc.boolean(),
  });
  const tally = { built: 0, refused: 0 };
  await fc.assert(
    fc.asyncProperty(any, async ({ kind, count, turns, wireMm, joined, ...band }) => {
      const lanes = kind === 'braid' ? (count < 4 ? 3 : 5) : count;
      const between = joined ? ({ kind: 'joined', overlapMm: 0.1 } as const) : LOOSE;
      const design = wiresDesign(
        lanes,
        { kind, turns, between, ...(wireMm && { wireMm }) },
        { ...band, chordToleranceMm: 0.05 },
      );
      await builtOrRefused(design, kernel, tally, (shape) => {
        for (const { mesh, volumeMm3 } of shape.lanes) {
          expect(inspectMesh(mesh).looseEdges).toBe(0);
          expect(volumeMm3).toBeGreaterThan(0);
        }
        const solved = strandsOf(design)!;
        const air = leastApartOf(solved).value - solved.wireMm;
        if (joined) expect(air).toBeLessThan(0);
        else expect(air).toBeGreaterThan(0.2 - 1e-5);
      });
    }),
    { numRuns: 12 },
  );
  expect(tally.built).toBeGreaterThan(1);
  expect(tally.refused).toBeGreaterThan(0);
});
