import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  readAngle,
  readLength,
  readPixels,
  readShare,
  readWidthMeasure,
} from '../../pipeline/plan/measure.ts';
import { adviseName, editDistance, nearestName } from '../../pipeline/plan/suggestion.ts';

const ANY = { min: -1e9, max: 1e9 };
const value = (r: object) => ('value' in r ? r.value : undefined);

describe('values with units', () => {
  it.each([
    ['4.5 mm', 4.5],
    ['4.5mm', 4.5],
    [4.5, 4.5],
    ['4.5', 4.5],
    ['-.25 mm', -0.25],
  ])('length %s', (written, mm) => {
    expect(value(readLength(written, ANY))).toBe(mm);
  });

  it.each([
    ['4 in', '101.6 mm'],
    ['0.45 cm', '4.5 mm'],
    ['4500 µm', '4.5 mm'],
    ['0.0045 m', '4.5 mm'],
    ['1/4 in', 'The only unit allowed is mm'],
    ['4,5 mm', 'Write decimals with a point: "4.5 mm"'],
    ['', 'The only unit allowed is mm'],
    ['mm', 'The only unit allowed is mm'],
  ])('length %s is refused with advice', (written, advice) => {
    expect(readLength(written, ANY)).toMatchObject({ code: 'wrong-unit' });
    expect((readLength(written, ANY) as { advice: string }).advice).toContain(advice);
  });

  it('angles become radians, bare numbers being degrees', () => {
    expect(value(readAngle('180 deg', ANY))).toBeCloseTo(Math.PI, 12);
    expect(value(readAngle(90, ANY))).toBeCloseTo(Math.PI / 2, 12);
    expect(readAngle('1 rad', ANY)).toMatchObject({ code: 'wrong-unit' });
  });

  it('shares need their sign beyond 1', () => {
    expect(value(readShare('30 %', { min: 0, max: 1 }))).toBeCloseTo(0.3, 12);
    expect(value(readShare(0.3, { min: 0, max: 1 }))).toBeCloseTo(0.3, 12);
    expect(readShare(30, { min: 0, max: 1 })).toMatchObject({ code: 'wrong-unit' });
    expect(readShare('130 %', { min: 0, max: 1 })).toMatchObject({ code: 'out-of-range' });
  });

  it('measures along the width combine share and length', () => {
    expect(value(readWidthMeasure('30 %'))).toEqual({ share: 0.3, mm: 0 });
    expect(value(readWidthMeasure('50 % - 1.1 mm'))).toEqual({ share: 0.5, mm: -1.1 });
    expect(value(readWidthMeasure('1.5 mm'))).toEqual({ share: 0, mm: 1.5 });
    expect(readWidthMeasure('half')).toMatchObject({ code: 'wrong-unit' });
  });

  it('pixels are whole', () => {
    expect(value(readPixels('720 px', ANY))).toBe(720);
    expect(readPixels('720.5', ANY)).toMatchObject({ code: 'wrong-unit' });
    expect(readPixels(720.5, ANY)).toMatchObject({ code: 'wrong-unit' });
  });

  it('every number in mm reads back as itself', () => {
    fc.assert(
      fc.property(fc.integer({ min: -99999, max: 99999 }), (n) => {
        expect(value(readLength(`${n / 1000} mm`, ANY))).toBe(n / 1000);
      }),
    );
  });
});

describe('did-you-mean', () => {
  it('counts edits: the textbook pairs', () => {
    expect(editDistance('kitten', 'sitting')).toBe(3);
    expect(editDistance('', 'abc')).toBe(3);
    expect(editDistance('ab', 'ba')).toBe(1);
  });

  it('is a metric', () => {
    const word = fc.string({ maxLength: 8 });
    fc.assert(
      fc.property(word, word, (a, b) => {
        expect(editDistance(a, b)).toBe(editDistance(b, a));
        expect(editDistance(a, a)).toBe(0);
        expect(editDistance(a, b)).toBeGreaterThanOrEqual(Math.abs(a.length - b.length));
        expect(editDistance(a, b)).toBeLessThanOrEqual(Math.max(a.length, b.length));
      }),
    );
  });

  it('suggests only what is near', () => {
    expect(nearestName('satn', ['polished', 'satin'])).toBe('satin');
    expect(nearestName('copper', ['polished', 'satin'])).toBeUndefined();
    expect(adviseName('copper', ['polished', 'satin'])).toBe('Known: polished, satin.');
  });
});
