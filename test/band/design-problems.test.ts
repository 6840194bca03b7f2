import { describe, expect, it } from 'vitest';
import { buildLanes } from '../../pipeline/band/build-lanes.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { SeamDesign } from '../../pipeline/plan/seam-design.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { bandDesign, bandProblems, wavyDesign } from './designs.ts';

const codes = (design: ShapeDesign) => bandProblems(design).map(({ code }) => code);

describe('band problems', () => {
  it('are none for a sound design', () => {
    expect(codes(wavyDesign())).toEqual([]);
  });

  it('name the angle and the width left of a lane thinner than its softening', () => {
    const seam = {
      kind: 'wave',
      atMm: 1.5,
      amplitudeMm: 0.6,
      periods: 4,
      sharpness: 0,
      phaseRad: 0,
    } as const;
    const [problem, ...more] = bandProblems(wavyDesign({ seams: [seam] }));
    expect(more).toEqual([]);
    expect(problem.code).toBe('lane-too-thin');
    expect(problem.path).toBe('lanes.field');
    // crest of sin 4θ at θ = 22.5°: lane from 2.1 to 2.5
    expect(problem.received).toMatch(/at θ = 22\.5°|at θ = 112\.5°|at θ = 202\.5°|at θ = 292\.5°/);
    expect(problem.received).toContain('lane 0.40 mm');
    expect(() => buildLanes(wavyDesign({ seams: [seam] }))).toThrow(ProblemError);
  });

  it('tell where seams cross, once', () => {
    const lanes = ['a', 'b', 'c'].map((name) => ({ name, recessMm: 0, softenMm: 0.1 }));
    const seams = [
      { kind: 'straight', atMm: -0.5 },
      { kind: 'points', zMm: [0.5, 0.5, -1.4, 0.5], phaseRad: 0 },
    ] as const;
    const found = bandProblems(wavyDesign({ seams: [...seams] as SeamDesign[], lanes }));
    expect(found.map(({ code }) => code)).toEqual(['seams-cross']);
    expect(found[0].path).toBe('seams.2');
    // the third of four values lies underneath, 0.9 mm over the first seam
    expect(found[0].received).toBe('0.90 mm on its other side at θ = 180.0°');
    expect(found[0].expected).toBe("seam '2' beyond seam '1' all round, with lane 'b' between them");
    const named = seams.map((seam, i) => ({ ...seam, name: ['near', 'far'][i] }));
    const [problem] = bandProblems(wavyDesign({ seams: named as SeamDesign[], lanes }));
    expect(problem.expected).toContain("seam 'far' beyond seam 'near'");
  });

  it('come all at once', () => {
    const lanes = [
      { name: 'a', recessMm: 0, softenMm: 0.25 },
      { name: 'b', recessMm: 0, softenMm: 0.25 },
      { name: 'c', recessMm: 1.8, softenMm: 0.25 },
    ];
    const seams = [
      { kind: 'straight', atMm: -2.2 },
      { kind: 'straight', atMm: -2.1 },
    ] as const;
    const found = bandProblems(wavyDesign({ seams: [...seams], lanes }));
    expect(found.map(({ code, path }) => `${path} ${code}`)).toEqual([
      'lanes.a lane-too-thin',
      'lanes.b lane-too-thin',
      'lanes.c lane-too-shallow',
      'lanes.c lane-too-shallow',
    ]);
  });

  it('tell how wide the band would have to be', () => {
    const [problem] = bandProblems(wavyDesign({ widthMm: 2.6 }));
    expect(problem.code).toBe('lane-too-thin');
    const needed = Number(/about ([\d.]+) mm wide/.exec(problem.advice)?.[1]);
    expect(needed).toBeGreaterThan(2.6);
    expect(codes(wavyDesign({ widthMm: needed + 0.05 }))).toEqual([]);
  });

  it.each([
    ['not-positive', { thicknessMm: 0 }],
    ['not-positive', { circumferenceMm: Number.NaN }],
    ['dome-too-high', { section: { ...wavyDesign().section, domeMm: 3 } }],
    ['edge-too-thin', { section: { ...wavyDesign().section, domeMm: 1.2, comfortMm: 0.7 } }],
    ['negative-radius', { section: { ...wavyDesign().section, edgeMm: -0.1 } }],
    ['lane-count', { seams: [] }],
    [
      'broken-wave',
      { seams: [{ kind: 'wave', atMm: 0, amplitudeMm: 0.2, periods: 2.5, sharpness: 0, phaseRad: 0 }] },
    ],
    [
      'sharp-wave',
      { seams: [{ kind: 'wave', atMm: 0, amplitudeMm: 0.2, periods: 2, sharpness: 1, phaseRad: 0 }] },
    ],
    ['lane-too-shallow', { section: { ...wavyDesign().section, domeMm: 1.1, comfortMm: 0.3 } }],
  ] as [string, Partial<ShapeDesign>][])('include %s', (code, change) => {
    expect(codes(wavyDesign(change))).toContain(code);
  });

  it('leave the knife edges of a D-section alone, but not when they are to be softened', () => {
    const section = { name: 'd', domeMm: 1.6, comfortMm: 0, edgeMm: 0, boreEdgeMm: 0 } as const;
    expect(codes(bandDesign({ section }))).toEqual([]);
    expect(codes(bandDesign({ section: { ...section, edgeMm: 0.2 } }))).toContain('lane-too-shallow');
  });
});
