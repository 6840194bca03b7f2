import { describe, expect, it } from 'vitest';
import { lanesOf } from '../../pipeline/band/lane.ts';
import { rowCurve, rowFrame } from '../../pipeline/setting/row-curve.ts';
import { largestCount, type RowLayout, spreadRow } from '../../pipeline/setting/row-layout.ts';
import { distance, dot, norm, type Vec } from '../../pipeline/setting/vec.ts';
import { wavyRowDesign } from './stone-designs.ts';

const full = { kind: 'full' } as const;
const circle =
  (r: number) =>
  (theta: number): Vec => [r * Math.sin(theta), r * Math.cos(theta), 0];

function chords(curve: (theta: number) => Vec, { angles, closed }: RowLayout): number[] {
  const points = angles.map(curve);
  const ends = closed ? [...points, points[0]] : points;
  return ends.slice(1).map((p, i) => distance(p, ends[i]));
}

describe('a straight full row', () => {
  // n = ⌊π / asin((Ø + gap) / 2r)⌋ and gap = 2r · sin(π/n) − Ø, r the girdle's radius
  it.each([
    [10.294, 1.5, 0.1, 40, 0.115],
    [10.394, 2.0, 0.15, 30, 0.173],
    [10.594, 2.5, 0.2, 24, 0.266],
  ])(
    'at girdle radius %d of %d mm stones with %d mm gaps holds %d, %d mm apart',
    (r, d, gap, count, left) => {
      expect(Math.floor(Math.PI / Math.asin((d + gap) / (2 * r)))).toBe(count);
      expect(largestCount(circle(r), d + gap, full, d)).toBe(count);
      const layout = spreadRow(circle(r), count, d + gap, full, d)!;
      expect(layout.chord - d).toBeCloseTo(left, 3);
      expect(layout.chord).toBeCloseTo(2 * r * Math.sin(Math.PI / count), 9);
      layout.angles.forEach((angle, i) => {
        expect(angle).toBeCloseTo((2 * Math.PI * i) / count, 9);
      });
    },
  );

  it('fits exactly when the pitch divides the ring', () => {
    const pitch = 2 * 10 * Math.sin(Math.PI / 37);
    expect(largestCount(circle(10), pitch, full, 1.5)).toBe(37);
    expect(largestCount(circle(10), pitch * 1.0001, full, 1.5)).toBe(36);
  });
});

describe('a row on a wave', () => {
  const lane = lanesOf(wavyRowDesign())[1];
  const curve = rowCurve(lane, 0.05);

  it('has equal chords that close round the ring, to 1e-6 mm', () => {
    const layout = spreadRow(curve, 46, 1.32, full, 1.2)!;
    expect(layout.angles).toHaveLength(46);
    for (const chord of chords(curve, layout)) expect(Math.abs(chord - layout.chord)).toBeLessThan(1e-6);
  });

  it('holds as many as keep the pitch, and one more would break it', () => {
    for (const pitch of [1.25, 1.32, 1.7, 2.3]) {
      const count = largestCount(curve, pitch, full, 1.2);
      expect(spreadRow(curve, count, pitch, full, 1.2)!.chord).toBeGreaterThanOrEqual(pitch - 1e-9);
      expect(spreadRow(curve, count + 1, pitch, full, 1.2)!.chord).toBeLessThan(pitch);
    }
  });

  it('holds more than a straight row of the same radius, in the measure of its greater length', () => {
    const wave = { kind: 'wave', amplitudeMm: 1.2, periods: 5, sharpness: 0, phaseRad: 0 } as const;
    const seams = [
      { ...wave, atMm: -1 },
      { ...wave, atMm: 1 },
    ];
    const flat = { name: 'flat', domeMm: 0, comfortMm: 0, edgeMm: 0.2, boreEdgeMm: 0.2 } as const;
    const steep = rowCurve(lanesOf(wavyRowDesign({}, { seams, section: flat }))[1], 0.05);
    const [x, y] = steep(0);
    const r = Math.hypot(x, y);
    // length of z = A sin nθ on a cylinder: ∫ √(r² + (A n cos nθ)²) dθ
    let wavyLength = 0;
    for (let i = 0; i < 3600; i++)
      wavyLength += Math.hypot(r, 6 * Math.cos((5 * Math.PI * i) / 1800)) * (Math.PI / 1800);
    const straight = largestCount(circle(r), 1.32, full, 1.2);
    const wavy = largestCount(steep, 1.32, full, 1.2);
    expect(Math.abs(wavy / straight - wavyLength / (2 * Math.PI * r))).toBeLessThan(1.5 / straight);
    expect(wavy).toBeGreaterThan(straight);
  });

  it('stands square on the lane: axis along the outer surface’s normal, girdle below it by the set depth', () => {
    const h = 1e-6;
    for (const theta of [0.1, 1.3, 2.9, 5.5]) {
      const { origin, x, y, axis } = rowFrame(lane, 0.05, theta);
      const surface = rowCurve(lane, 0);
      const tangent = surface(theta + h).map(
        (v, k) => (v - surface(theta - h)[k]) / (2 * h),
      ) as unknown as Vec;
      expect(dot(axis, tangent) / norm(tangent)).toBeCloseTo(0, 6);
      expect(dot(x, tangent) / norm(tangent)).toBeCloseTo(1, 6);
      for (const v of [x, y, axis]) expect(norm(v)).toBeCloseTo(1, 12);
      expect([dot(x, y), dot(y, axis), dot(axis, x)].every((d) => Math.abs(d) < 1e-12)).toBe(true);
      expect(distance(surface(theta), origin)).toBeCloseTo(0.05, 12);
      expect(dot(axis, origin)).toBeGreaterThan(0);
    }
  });
});

describe('an arc of stones', () => {
  const angleRad = Math.PI;
  const coverage = { kind: 'arc', angleRad } as const;

  it('keeps the pitch, is centred at the top and has its girdles inside the arc', () => {
    const count = largestCount(circle(10), 1.62, coverage, 1.5);
    const layout = spreadRow(circle(10), count, 1.62, coverage, 1.5)!;
    expect(layout.angles).toHaveLength(count);
    expect(layout.angles[0]).toBeCloseTo(-layout.angles.at(-1)!, 9);
    for (const chord of chords(circle(10), layout)) expect(chord).toBeCloseTo(1.62, 9);
    // a girdle's end is asin(radius / r) beyond its centre; one stone more would not fit
    const end = layout.angles.at(-1)! + Math.asin(0.75 / 10);
    expect(end).toBeLessThanOrEqual(angleRad / 2);
    expect(end + Math.asin(1.62 / 20)).toBeGreaterThan(angleRad / 2);
  });

  it('on a wave too', () => {
    const curve = rowCurve(lanesOf(wavyRowDesign())[1], 0.05);
    const layout = spreadRow(curve, 12, 1.32, coverage, 1.2)!;
    expect(layout.angles[0]).toBeCloseTo(-layout.angles.at(-1)!, 9);
    for (const chord of chords(curve, layout)) expect(chord).toBeCloseTo(1.32, 9);
  });

  it('of one stone stands at the top', () => {
    expect(spreadRow(circle(10), 1, 1.6, { kind: 'arc', angleRad: 0.2 }, 1.5)!.angles).toEqual([0]);
  });
});
