import { expect, it } from 'vitest';
import { unrolledDrawing } from '../../pipeline/papers/bench-drawing.ts';
import { type PaperPoint, unrolled } from '../../pipeline/papers/unrolled.ts';
import type { OpenGap } from '../../pipeline/plan/gap-design.ts';
import { bandDesign } from '../band/designs.ts';

const open: OpenGap = { kind: 'open', name: 'gap', atRad: 0, widthMm: 5, roundMm: 1, softenMm: 0.2 };

/** Area within a ring, mm², by the shoelace formula. */
function areaOf(ring: readonly PaperPoint[]): number {
  const sum = ring.reduce((total, [x, y], i) => {
    const [u, v] = ring[(i + 1) % ring.length];
    return total + x * v - u * y;
  }, 0);
  return Math.abs(sum) / 2;
}

it('a gap is drawn where it lies, in two parts where the drawing begins and ends', () => {
  const [top, back] = [0, Math.PI].map((atRad) => unrolled(bandDesign({ gaps: [{ ...open, atRad }] })));
  expect(top.gaps).toHaveLength(1);
  expect(back.gaps).toHaveLength(2);
  const [whole, parts] = [top, back].map(({ gaps }) => gaps.reduce((sum, ring) => sum + areaOf(ring), 0));
  expect(parts).toBeCloseTo(whole, 9);
  const xs = top.gaps[0].map(([x]) => x);
  expect((Math.min(...xs) + Math.max(...xs)) / 2).toBeCloseTo(top.lengthMm / 2, 9);
  for (const [x] of back.gaps.flat()) {
    expect(x).toBeGreaterThanOrEqual(0);
    expect(x).toBeLessThanOrEqual(back.lengthMm);
  }
});

it('a drawing shows gaps and the ends of a flat on top', () => {
  const lines = (text: string) => text.match(/class="help"/g)?.length ?? 0;
  const plain = unrolledDrawing(bandDesign());
  expect(plain).not.toContain('class="gap"');
  expect(unrolledDrawing(bandDesign({ gaps: [open] }))).toContain('class="gap"');
  const flat = { lengthMm: 8, riseMm: 0.4, edgeMm: 0.4 };
  expect(lines(unrolledDrawing(bandDesign({ flat })))).toBe(lines(plain) + 2);
});
