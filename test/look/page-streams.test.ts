import { EventEmitter } from 'node:events';
import type { ServerResponse } from 'node:http';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import type { LookState } from '../../pipeline/look/contract.ts';
import { PageStreams } from '../../pipeline/look/page-streams.ts';
import type { LookSession } from '../../pipeline/look/session.ts';

beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  vi.useRealTimers();
});

class PlayedSession {
  readonly state = { version: 1 } as LookState;
  readonly listeners = new Set<(state: LookState) => void>();
  rests = 0;
  warm() {}
  rest = async () => {
    this.rests++;
  };
  onChange(listener: (state: LookState) => void) {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }
  readonly stirListeners = new Set<(stirred: boolean) => void>();
  onStir(listener: (stirred: boolean) => void) {
    this.stirListeners.add(listener);
    return () => this.stirListeners.delete(listener);
  }
}

class PlayedResponse extends EventEmitter {
  written = '';
  writeHead() {}
  write(text: string) {
    this.written += text;
  }
}

function opened() {
  const session = new PlayedSession();
  const streams = new PageStreams(session as unknown as LookSession);
  const open = () => {
    const page = new PlayedResponse();
    streams.add(page as unknown as ServerResponse, {});
    return page;
  };
  return { session, streams, open };
}

it('tells every open page each state, and none that is closed', () => {
  const { session, streams, open } = opened();
  const [first, second] = [open(), open()];
  expect(streams.count).toBe(2);
  first.emit('close');
  for (const listener of session.stirListeners) listener(true);
  expect(first.written).not.toContain('event: stir');
  expect(second.written).toContain('event: stir\ndata: true\n\n');
  for (const listener of session.listeners) listener({ ...session.state, version: 2 });
  expect(first.written).not.toContain('"version":2');
  expect(second.written).toContain('"version":2');
});

it('lets solids and threads go when the last page is closed, unless one comes back soon', () => {
  const { session, streams, open } = opened();
  const [first, second] = [open(), open()];
  first.emit('close');
  vi.advanceTimersByTime(60_000);
  expect(session.rests).toBe(0);
  second.emit('close');
  vi.advanceTimersByTime(1000);
  const again = open();
  vi.advanceTimersByTime(60_000);
  expect(session.rests).toBe(0);
  again.emit('close');
  vi.advanceTimersByTime(60_000);
  expect(session.rests).toBe(1);
  expect(session.listeners.size).toBe(0);
  streams.close();
});
