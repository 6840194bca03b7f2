/** Both engines in one page, the card being the software adapter that comes with Chromium: slow but true. */
import { build } from 'esbuild';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { createTracerSession, type TracerSession } from '../../pipeline/tracer/session.ts';
import type { EngineResults } from './engines-page.ts';

let session: TracerSession;
let found: EngineResults;

beforeAll(async () => {
  session = await createTracerSession({ engine: 'webgpu', softwareCard: true });
  const { outputFiles } = await build({
    entryPoints: ['test/gpu/engines-page.ts'],
    bundle: true,
    write: false,
    format: 'iife',
  });
  found = (await session.film?.(outputFiles[0].text, 'compareEngines', { passes: 8 })) as EngineResults;
  // a processor that plays a card, on a machine that has other things to do
}, 900_000);

afterAll(() => session.close());

test('every law of the card gives what the kernel gives, on thousands of inputs', () => {
  expect(found.facts.software).toBe(true);
  expect(found.probes.length).toBeGreaterThan(12);
  for (const { name, count, worst, spread } of found.probes) {
    expect(count, name).toBeGreaterThan(2000);
    // not of one value alone
    expect(spread, name).toBeGreaterThan(0.1);
    // rounding of other orders of addition; of light samples also single for double precision
    expect(worst, name).toBeLessThan(2e-5);
  }
});

test('a card that is lost gives its take up', () => {
  expect(found.lost).toBe('GpuRefusal, lost');
});

test('films of one seed are the same but for rounding, and so are their estimates of error', () => {
  expect(found.films).toHaveLength(3);
  for (const { name, same, other, whole, errors } of found.films) {
    // a path that rounding sends elsewhere would show as a share of what another seed differs by; brushed spots and
    // layers end in edges, on either side of which rounding may put one
    const few = /circles|layers/.test(name) ? 1000 : 1;
    expect(same, name).toBeLessThan(few * 1e-5 * other);
    expect(whole, name).toBeLessThan(few * 1e-7);
    expect(Math.abs(errors[0] / errors[1] - 1), name).toBeLessThan(few * 5e-7);
  }
});

test('the card sees what the kernel sees in pixels, and judges a film that will be filtered by it', () => {
  for (const { name, features, seen, stones } of found.films) {
    // a camera ray that rounding sends to the other side of an edge
    expect(features, name).toBeLessThan(0.005);
    expect(seen, name).toBeLessThan(0.001);
    expect(stones > 0, name).toBe(/stones/.test(name));
  }
});

test('the live view’s card shows a turned band as its workers do, and leaves passes to them once it is lost', () => {
  const { same, unturned, codes, refuses, works, afterwards } = found.live;
  expect(refuses).toBe(true);
  expect(works).toBe(true);
  expect(unturned).toBeGreaterThan(0.1);
  expect(same).toBeLessThan(1e-4);
  // rounding may put light on the other side of a code's edge
  expect(codes).toBeLessThanOrEqual(1);
  expect(afterwards).toEqual([false, false]);
});
