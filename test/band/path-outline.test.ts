import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { drawnContours, signedArea } from '../../pipeline/band/path-outline.ts';

const drawn = (data: string, heightMm = 2, chordMm = 1e-4) => {
  const found = drawnContours(data, heightMm, chordMm);
  if ('fault' in found) throw new Error(found.fault.code);
  return found;
};
const area = (data: string, heightMm = 2) =>
  drawn(data, heightMm).contours.reduce((sum, contour) => sum + signedArea(contour), 0);
const fault = (data: string) => {
  const found = drawnContours(data, 2, 1e-3);
  return 'fault' in found ? found.fault : undefined;
};

describe('a drawing', () => {
  // closed forms: circles, squares and the area under a parabola
  it.each([
    ['a circle of two arcs', 'M0 5A5 5 0 1 1 10 5A5 5 0 1 1 0 5Z', Math.PI],
    ['one of relative arcs, flags run together', 'm 0 5 a5 5 0 1110 0 a5 5 0 11-10 0z', Math.PI],
    ['an ellipse turned by 90°', 'M0 10 A10 5 90 1 1 10 10 A10 5 90 1 1 0 10', Math.PI / 2],
    ['radii too short are raised to reach', 'M0 5 A1 1 0 1 1 10 5 A1 1 0 1 1 0 5', Math.PI],
    ['a square', 'M0 0H10V10H0z', 4],
    ['a square of relative lines after a move', 'm0 0 10 0 0 10 -10 0z', 4],
    [
      'a ring: the inner circle is a hole whichever way it runs',
      'M0 5A5 5 0 1 1 10 5A5 5 0 1 1 0 5M3 5A2 2 0 1 1 7 5A2 2 0 1 1 3 5',
      Math.PI * (1 - 0.16),
    ],
    [
      'the same with the inner one turned',
      'M0 5A5 5 0 1 1 10 5A5 5 0 1 1 0 5M3 5A2 2 0 1 0 7 5A2 2 0 1 0 3 5',
      Math.PI * (1 - 0.16),
    ],
    // a parabola of height 5 over 10: ⅔ of the box, here 2 high and 4 wide
    ['a parabola', 'M0 0Q5 10 10 0Z', (2 / 3) * 4 * 2],
    // what the second half adds below the line it takes away above: 20 by 20, of 25 in height
    ['two parabolas, the second in the short form', 'M0 0Q5 10 10 0T20 0V-20H0Z', 400 * (2 / 25) ** 2],
    // ∫ y dx = 1800 ∫ u²(1 − u)² du = 60, of 7.5 in height
    ['a cubic curve', 'M0 0C0 10 10 10 10 0Z', 60 * (2 / 7.5) ** 2],
    [
      'two cubic curves, the second in the short form',
      'M0 0C0 10 10 10 10 0S20 -10 20 0V-20H0Z',
      400 * (2 / 27.5) ** 2,
    ],
  ])('%s', (_, data, expected) => {
    expect(area(data)).toBeCloseTo(expected, 3);
  });

  it('is scaled to its height, upright, about its middle', () => {
    const { contours, widthMm } = drawn('M10 10H40V70H10Z', 3);
    expect(widthMm).toBeCloseTo(1.5, 9);
    // what is at the top of a drawing, whose y runs down, is up
    expect(contours[0].map(([, t]) => t).sort()).toEqual([-1.5, -1.5, 1.5, 1.5]);
    const [left] = drawn('M0 0 L10 0 L0 20Z', 2).contours;
    expect(left.filter(([, t]) => t === 1)).toHaveLength(2);
  });

  it.each([
    ['M0 0L10 0L10 10', 'drawing-open', '(0, 0) to (10, 10)'],
    ['M0 0L10 10L10 0L0 10Z', 'drawing-crossing', '(5, 5)'],
    ['M0 0H10V10H0Z M5 5H15V15H5Z', 'drawing-crossing', '(5, 10)'],
    ['M0 0L10 0Z', 'drawing-empty', 'none'],
    ['', 'drawing-empty', 'none'],
    ['M0 0L10', 'drawing-unreadable', 'at character 8'],
    ['L0 0', 'drawing-unreadable', 'at character 1'],
    ['M0 0 X 3', 'drawing-unreadable', 'at character 6'],
    ['hand.png', 'drawing-unreadable', 'at character 1'],
  ])('%j is refused: %s, with its place', (data, code, place) => {
    expect(fault(data)?.code).toBe(code);
    expect(fault(data)?.received).toContain(place);
  });

  it('of any text is drawn or refused with a reason', () => {
    const piece = fc.oneof(
      fc.constantFrom(...'MLHVCSQTAZmlhvcsqtaz ,-.'),
      fc.integer({ min: -99, max: 99 }).map((n) => ` ${n}`),
    );
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 40 }), (pieces) => {
        const found = drawnContours(`M0 0${pieces.join('')}`, 2, 0.01);
        if ('fault' in found) {
          expect(found.fault.code).toMatch(/^drawing-/);
          expect(`${found.fault.expected}${found.fault.received}`).not.toMatch(/NaN|undefined/);
        } else expect(found.contours.flat(2).every(Number.isFinite)).toBe(true);
      }),
      { numRuns: 1000, seed: 2 },
    );
  });
});
