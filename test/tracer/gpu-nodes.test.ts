import { expect, test } from 'vitest';
import { shrinkNodes } from '../../pipeline/tracer/gpu/small-nodes.ts';
import * as layout from '../../pipeline/tracer/kernel/layout.ts';
import { trialScene } from '../../pipeline/tracer/trial-scene.ts';
import { kernel } from './kernel-fixture.ts';

test('boxes made of bytes hold the boxes they stand for, and little more', async () => {
  const host = await kernel();
  host.load(trialScene(8, 8));
  const words = new Uint32Array(host.image().bytes.slice(0));
  const before = new Float32Array(words.slice().buffer);
  const wordsBefore = new Uint32Array(before.buffer);
  shrinkNodes(words);
  const after = new Float32Array(words.buffer);
  const bytes = new Uint8Array(words.buffer);
  const nodes = [words[layout.ROOT / 4]];
  let boxes = 0;
  for (const node of nodes) {
    const at = node / 4;
    for (let lane = 0; lane < layout.WIDE; lane++) {
      const child = wordsBefore[(node + layout.NODE_CHILDREN) / 4 + lane];
      expect(words[at + 16 + lane]).toBe(child);
      if (child === 0) continue;
      if ((child & 15) === 0) nodes.push(child);
      for (let axis = 0; axis < 3; axis++) {
        const step = 2 ** (bytes[node + 12 + axis] - 127);
        const low = after[at + axis] + bytes[node + 16 + axis * 16 + lane] * step;
        const high = after[at + axis] + bytes[node + 24 + axis * 16 + lane] * step;
        const wasLow = before[at + axis * 16 + lane];
        const wasHigh = before[at + axis * 16 + 8 + lane];
        expect(low).toBeLessThanOrEqual(wasLow);
        expect(high).toBeGreaterThanOrEqual(wasHigh);
        expect(wasLow - low).toBeLessThan(2 * step);
        expect(high - wasHigh).toBeLessThan(2 * step);
      }
      boxes++;
    }
  }
  expect(boxes).toBeGreaterThan(300);
});
