import { EventEmitter } from 'node:events';
import { expect, it } from 'vitest';
import { SharedBrowser } from '../../pipeline/tracer/shared-browser.ts';
import type { TakeHost } from '../../pipeline/tracer/take-host.ts';

/** Browsers in name only, with a count of those that were closed. */
function browsers(connected: () => boolean) {
  const started: (TakeHost & { browser: EventEmitter; closed: number })[] = [];
  const shared = new SharedBrowser(async () => {
    const browser = Object.assign(new EventEmitter(), {
      connected: connected(),
      process: () => null,
    });
    const host = {
      browser,
      pages: { open: () => Promise.reject(new Error('no pages here')), leave: async () => {} },
      closed: 0,
      close: async () => {
        host.closed++;
      },
      kill: () => {},
    };
    started.push(host);
    return host;
  });
  return { shared, started };
}

it('one browser serves all until it is lost', async () => {
  const { shared, started } = browsers(() => true);
  expect(await shared.open()).toBe(await shared.open());
  started[0].browser.emit('disconnected');
  expect(started[0].closed).toBe(1);
  expect(await shared.open()).toBe(started[1]);
});

it('one that ended before anybody heard of it is not kept', async () => {
  const { shared, started } = browsers(() => started.length > 0);
  await shared.open();
  expect(await shared.open()).toBe(started[1]);
  expect(started.map(({ closed }) => closed)).toEqual([1, 0]);
});
