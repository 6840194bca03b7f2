import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { type Interrupts, watchInterrupts } from '../../pipeline/cli/interrupts.ts';
import { byteCount } from '../../pipeline/cli/usage.ts';

let watched: Interrupts | undefined;
beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  vi.useRealTimers();
  watched?.dispose();
  process.removeAllListeners('SIGINT');
});

function watch() {
  const said: string[] = [];
  const codes: number[] = [];
  watched = watchInterrupts(
    (line) => said.push(line),
    (code) => codes.push(code),
  );
  return { said, codes, signal: watched.signal };
}

test('the first Ctrl-C asks, its echo by npm is none, a second one ends', () => {
  const { said, codes, signal } = watch();
  process.emit('SIGINT');
  expect(signal.aborted).toBe(true);
  process.emit('SIGINT');
  expect(codes).toEqual([]);
  vi.advanceTimersByTime(450);
  process.emit('SIGINT');
  expect(codes).toEqual([130]);
  expect(said).toHaveLength(1);
});

test('one that comes after an interrupted command has wound up ends it with the same code', () => {
  const { codes } = watch();
  process.emit('SIGINT');
  watched?.dispose();
  process.emit('SIGINT');
  expect(codes).toEqual([130]);
});

test('SIGTERM asks and allows time; Ctrl-C may then cut it short', () => {
  const { codes, signal } = watch();
  process.emit('SIGTERM');
  expect(signal.aborted).toBe(true);
  expect(codes).toEqual([]);
  vi.advanceTimersByTime(450);
  process.emit('SIGINT');
  expect(codes).toEqual([130]);
});

test('SIGTERM ends what has not wound up after 20 s', () => {
  const { codes } = watch();
  process.emit('SIGTERM');
  vi.advanceTimersByTime(19_999);
  expect(codes).toEqual([]);
  vi.advanceTimersByTime(1);
  expect(codes).toEqual([130]);
});

test('sizes are in decimal units, as on disks', () => {
  expect(byteCount('--keep', '20 GB')).toBe(20e9);
  expect(byteCount('--keep', '1.5mb')).toBe(1.5e6);
  expect(byteCount('--keep', '0 B')).toBe(0);
  for (const text of ['20', 'lots', '-1 GB', undefined])
    expect(() => byteCount('--keep', text)).toThrow('--keep');
});
