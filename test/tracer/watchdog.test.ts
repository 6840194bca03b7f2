import { expect, test } from 'vitest';
import { Watchdog } from '../../pipeline/tracer/watchdog.ts';

const options = { patience: 1000, limit: 5000, every: 250 };

test('a page that reports and traces is fine for ever', () => {
  const dog = new Watchdog(options);
  for (let i = 1; i < 1000; i++) {
    dog.beat(i / 4, i);
    expect(dog.tick()).toBe('fine');
  }
});

test('a page that falls silent is asked after its patience', () => {
  const dog = new Watchdog(options);
  dog.beat(1, 10);
  expect([1, 2, 3, 4].map(() => dog.tick())).toEqual(['fine', 'fine', 'fine', 'ask']);
  dog.beat(2, 11);
  expect(dog.tick()).toBe('fine');
});

test('a page that reports but traces nothing is stuck after as much of its own time', () => {
  const dog = new Watchdog(options);
  dog.beat(0, 10);
  let beats = 0;
  do {
    beats++;
    dog.beat(beats / 4, 10);
  } while (dog.tick() !== 'stuck' && beats < 100);
  // 5 s in steps of 0.25 s
  expect(beats).toBe(20);
});

test('a machine that slept for hours, or a clock that jumped, is no reason to give up', () => {
  const dog = new Watchdog(options);
  dog.beat(10, 5);
  dog.beat(10 + 8 * 3600, 5);
  expect(dog.tick()).toBe('fine');
  // backwards
  dog.beat(-5, 5);
  expect(dog.tick()).toBe('fine');
  dog.beat(-4.75, 6);
  expect(dog.tick()).toBe('fine');
});
