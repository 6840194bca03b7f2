import { describe, expect, it } from 'vitest';
import { seamCurve, seamFaults, seamWords } from '../../pipeline/band/seam.ts';
import { sectionAngles } from '../../pipeline/papers/bench-drawing.ts';
import type { SeamKindName } from '../../pipeline/plan/seam-design.ts';
import {
  fittedSeam,
  middleOf,
  mirroredSeam,
  SEAM_KIND_NAMES,
  seamPath,
  turnedSeam,
} from '../../pipeline/plan/seam-kinds.ts';
import { templateSchema } from '../../pipeline/plan/template-schema.ts';
import { bandDesign } from '../band/designs.ts';

const WIDTH = 6;

/** One seam of each kind; a kind without one is a type error. */
const WRITTEN: Record<SeamKindName, object> = {
  straight: { at: '40 %' },
  wave: { at: '50 % + 0.3 mm', amplitude: '0.6 mm', waves: 5, sharpness: '40 %', phase: '20 deg' },
  drift: { from: '30 %', to: '3.5 mm', turn: '15 deg' },
  peak: {
    at: '40 %',
    height: '1.2 mm',
    towards: 'second',
    span: '110 deg',
    roundness: '60 %',
    turn: '12 deg',
  },
  points: { through: ['50 %', '2 mm', '60 %', '45 %', '3.5 mm'], turn: '-10 deg' },
};

function written(kind: SeamKindName) {
  const lanes = { low: {}, high: {} };
  const seams = { between: { kind, ...WRITTEN[kind] } };
  return templateSchema.parse({ title: 'A', section: 'flat', width: WIDTH, thickness: 2, lanes, seams }).seams
    .between;
}

const angles = Array.from({ length: 360 }, (_, i) => (2 * Math.PI * (i + 0.5)) / 360);

describe.each(SEAM_KIND_NAMES)('a seam of kind %s', (kind) => {
  const seam = written(kind);
  const curve = (s: typeof seam) => seamCurve(seamPath(s, WIDTH));

  it('lies where its mean is said to be (integral over the turn), and is decided by a key of its own', () => {
    const path = seamPath(seam, WIDTH);
    const { atMm, field } = middleOf(path);
    const mean = angles.reduce((sum, theta) => sum + seamCurve(path).z(theta), 0) / angles.length;
    // a peak lies where it is straight
    expect(path.kind === 'peak' ? seamCurve(path).z(Math.PI) : mean).toBeCloseTo(atMm, 6);
    expect(Object.keys(WRITTEN[kind])).toContain(field);
    expect(seamFaults(path)).toEqual([]);
  });

  it('mirrored is −z at every angle', () => {
    for (const theta of angles)
      expect(curve(mirroredSeam(seam)).z(theta)).toBeCloseTo(-curve(seam).z(theta), 9);
  });

  it('turned by an angle is the same curve that much further round', () => {
    const turned = curve(turnedSeam(seam, 0.3));
    for (const theta of angles) expect(turned.z(theta)).toBeCloseTo(curve(seam).z(theta - 0.3), 9);
  });

  it('turns back at its extremes, and only there', () => {
    const { slope, extremes } = curve(seam);
    for (const theta of extremes) expect(slope(theta)).toBeCloseTo(0, 6);
    const changes = angles.filter((theta, i) => slope(theta) * slope(angles[(i + 1) % angles.length]) < 0);
    // a peak's straight part is one extreme more
    const level = kind === 'peak' ? 1 : 0;
    expect(new Set(extremes.map((theta) => theta.toFixed(6))).size).toBe(changes.length + level);
  });

  it('keeps its kind on a longer band, with whole waves', () => {
    const fitted = fittedSeam(seam, 1.19);
    expect(fitted).toEqual(kind === 'wave' ? { ...seam, waves: 6 } : seam);
  });

  it('is drawn at the bench where it stands highest and lowest, a straight one at the top', () => {
    const path = seamPath(seam, WIDTH);
    const at = sectionAngles(bandDesign({ seams: [path] }));
    const { z, extremes } = seamCurve(path);
    if (extremes.length === 0) expect(at).toEqual([0]);
    else expect(Math.abs(z(at[0]) - z(at[1]))).toBeGreaterThan(0.1);
  });
});

describe('points that repeat', () => {
  const places = ['50 %', '2 mm', '60 %'];
  const points = (extra: object) => {
    const lanes = { low: {}, high: {} };
    const seams = { between: { kind: 'points', ...extra } };
    return templateSchema.parse({ title: 'A', section: 'flat', width: WIDTH, thickness: 2, lanes, seams })
      .seams.between;
  };
  const curve = (seam: ReturnType<typeof points>) => seamCurve(seamPath(seam, WIDTH));

  it('are the places written out', () => {
    const repeated = points({ through: places, repeat: 4 });
    const inFull = points({ through: [...places, ...places, ...places, ...places] });
    expect(seamPath(repeated, WIDTH)).toEqual(seamPath(inFull, WIDTH));
  });

  it('come again after their share of a turn, and are half of that apart where a partner is turned', () => {
    const seam = points({ through: places, repeat: 5 });
    const turned = curve(turnedSeam(seam, 'half-wave'));
    for (const theta of angles) {
      expect(curve(seam).z(theta + (2 * Math.PI) / 5)).toBeCloseTo(curve(seam).z(theta), 9);
      expect(turned.z(theta + Math.PI / 5)).toBeCloseTo(curve(seam).z(theta), 9);
    }
  });

  it('carry angles, which come again with them and spread as a longer band has more of them', () => {
    const seam = points({ through: places, angles: ['0 deg', 10, '50 deg'], repeat: 6 });
    const { anglesRad } = seamPath(seam, WIDTH) as { anglesRad: number[] };
    const degrees = anglesRad.map((at) => Math.round((at * 180) / Math.PI));
    expect(degrees.slice(0, 7)).toEqual([0, 10, 50, 60, 70, 110, 120]);
    const longer = seamPath(fittedSeam(seam, 1.2), WIDTH) as { anglesRad: number[] };
    expect(longer.anglesRad[2]).toBeCloseTo((anglesRad[2] * 6) / 7, 12);
    const even = points({ through: places, angles: [0, 40, 80], repeat: 3 });
    for (const theta of angles)
      expect(curve(even).z(theta)).toBeCloseTo(curve(points({ through: places, repeat: 3 })).z(theta), 12);
    const faults = (given: number[]) =>
      seamFaults(seamPath(points({ through: places, angles: given }), WIDTH)).map(({ code }) => code);
    expect([faults([0, 90]), faults([0, 90, 80]), faults([0, 1, 90]), faults([0, 90, 200])]).toEqual([
      ['point-angles'],
      ['point-angles'],
      ['point-angles'],
      [],
    ]);
  });

  it('keep about their length on a longer band, unless they go round once', () => {
    expect(fittedSeam(points({ through: places, repeat: 6 }), 1.2)).toMatchObject({ repeat: 7 });
    expect(fittedSeam(points({ through: places }), 1.6)).toMatchObject({ repeat: 1 });
  });
});

it('says of every kind what stays when the band is resized', () => {
  const words = SEAM_KIND_NAMES.map((kind) => seamWords(seamPath(written(kind), WIDTH)));
  expect(words).toEqual([
    'straight',
    'of 5 waves 1.20 mm high',
    'drifting over 1.70 mm',
    'with a peak of 1.20 mm over 110°',
    'through 5 points',
  ]);
});

it('names the kinds there are when a template has another', () => {
  const seams = { between: { kind: 'zigzag', at: 3 } };
  const lanes = { low: {}, high: {} };
  const read = templateSchema.safeParse({
    title: 'A',
    section: 'flat',
    width: 6,
    thickness: 2,
    lanes,
    seams,
  });
  expect(read.error?.issues[0].message).toBe(
    'a seam of kind "straight", "wave", "drift", "peak" or "points"',
  );
});
