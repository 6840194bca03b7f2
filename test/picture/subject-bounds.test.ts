import { describe, expect, it } from 'vitest';
import { developFilm } from '../../pipeline/picture/develop.ts';
import { fillOf, subjectBounds } from '../../pipeline/picture/subject-bounds.ts';

/** A dark disc on white with a soft shadow and one stray dark sample. */
function frame(cx: number, cy: number, radius: number, ground = 1) {
  const [width, height] = [200, 160];
  const data = new Float32Array(width * height * 3);
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) {
      const r = Math.hypot(x + 0.5 - cx, y + 0.5 - cy);
      const v = r < radius ? 0.3 : r < radius + 15 ? 0.85 : ground;
      data.fill(x === 3 && y === 3 ? 0 : v, 3 * (y * width + x), 3 * (y * width + x) + 3);
    }
  return developFilm({ width, height, data });
}

describe('bounds of the subject', () => {
  it('are those of the disc, without its soft shadow and stray samples (a disc of radius r spans 2r)', () => {
    const b = subjectBounds(frame(90, 80, 60))!;
    expect(Math.abs(b.right - b.left - 120)).toBeLessThanOrEqual(2);
    expect(Math.abs((b.left + b.right) / 2 - 90)).toBeLessThanOrEqual(1);
    expect(fillOf(frame(90, 80, 60))).toBeCloseTo(120 / 160, 1);
  });

  it('are none on a blank ground', () => {
    expect(subjectBounds(frame(0, 0, -20))).toBeUndefined();
    expect(fillOf(frame(0, 0, -20))).toBe(0);
  });
});
