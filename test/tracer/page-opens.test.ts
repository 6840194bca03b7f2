import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { PageOpens } from '../../pipeline/tracer/page-opens.ts';

beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  vi.useRealTimers();
});

/** How long a page that never opens is waited for. */
async function patience(opens: PageOpens): Promise<number> {
  const began = performance.now();
  const late = expect(opens.inTime(new Promise(() => {}))).rejects.toThrow('did not open');
  await vi.runAllTimersAsync();
  await late;
  return performance.now() - began;
}

async function openIn(opens: PageOpens, ms: number): Promise<void> {
  const opened = opens.inTime(new Promise((resolve) => setTimeout(resolve, ms)));
  await vi.advanceTimersByTimeAsync(ms);
  await opened;
}

it('a page has 10 s, three times as long after each that did not open, a minute at most', async () => {
  const opens = new PageOpens();
  const waits = [];
  for (let i = 0; i < 5; i++) waits.push(await patience(opens));
  expect(waits).toEqual([10_000, 30_000, 60_000, 60_000, 60_000]);
});

it('one that opens quickly makes up for those that did not, a slow one gives the next its time', async () => {
  const opens = new PageOpens(3000);
  await patience(opens);
  await openIn(opens, 100);
  expect(await patience(opens)).toBe(3000);
  await openIn(opens, 5000);
  expect(await patience(opens)).toBe(15_000);
});

it('what fails to open says why', async () => {
  await expect(new PageOpens().inTime(Promise.reject(new Error('no page')))).rejects.toThrow('no page');
});
