import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import type { RunEvent } from '../../pipeline/artefacts/events.ts';
import { hindrances, sessionOptions } from '../../pipeline/cli/machine-flags.ts';
import { batteryHinders, onBattery, othersAtWork, untilNothingHinders } from '../../pipeline/run/pauses.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-supplies-'));
afterAll(() => rmSync(folder, { recursive: true }));

function waiting(reasons: (string | undefined)[], signal = new AbortController().signal) {
  const events: RunEvent[] = [];
  const look = async () => reasons.shift();
  const done = untilNothingHinders({ hindrances: [look], report: (e) => events.push(e), signal, every: 1 });
  return { events, done };
}

describe('waiting', () => {
  it('says once why it waits, and that it goes on', async () => {
    const { events, done } = waiting(['too busy', 'too busy', undefined]);
    await done;
    expect(events.map((e) => e.event)).toEqual(['paused', 'resumed']);
    expect(events[0]).toMatchObject({ reason: 'too busy' });
  });

  it('says nothing where nothing hinders', async () => {
    const { events, done } = waiting([undefined]);
    await done;
    expect(events).toEqual([]);
  });

  it('ends with the run', async () => {
    const stop = new AbortController();
    const { done } = waiting(Array(1000).fill('too busy'), stop.signal);
    stop.abort();
    await expect(done).rejects.toThrow(/abort/i);
  });
});

describe('others at work', () => {
  /** cores that the machine and this process keep busy */
  const busy = (machine: number, own: number) => {
    const start = performance.now();
    // one look at the clock for both: this process may be put to sleep between them
    let now = 0;
    return {
      machine: () => {
        now = performance.now() - start;
        return machine * now;
      },
      own: () => own * now,
    };
  };

  it('are what is busy beside this process', async () => {
    expect(await othersAtWork(1, 40, busy(3.5, 2.1))()).toMatch(
      /^other programs keep 1\.\d cores busy, more than 1$/,
    );
    expect(await othersAtWork(2, 40, busy(3.5, 2.1))()).toBeUndefined();
  });

  it('are seen on this machine', async () => {
    // nobody keeps a thousand cores busy here, and less than none neither
    expect(await othersAtWork(1000, 50)()).toBeUndefined();
    expect(await othersAtWork(-1000, 50)()).toMatch(/other programs/);
  });
});

/** Linux kernel documentation, Documentation/ABI/testing/sysfs-class-power. */
describe('battery', () => {
  const supplies = (name: string, all: Record<string, Record<string, string>>) => {
    for (const [supply, files] of Object.entries(all)) {
      mkdirSync(join(folder, name, supply), { recursive: true });
      for (const [file, text] of Object.entries(files))
        writeFileSync(join(folder, name, supply, file), `${text}\n`);
    }
    return join(folder, name);
  };
  const battery = (status: string, scope = 'System') => ({ type: 'Battery', status, scope });
  const mains = (online: string) => ({ type: 'Mains', online });

  it.each([
    ['unplugged', { BAT0: battery('Discharging'), AC: mains('0') }, true],
    ['plugged', { BAT0: battery('Charging'), AC: mains('1') }, false],
    ['held at full', { BAT0: battery('Not charging'), AC: mains('1') }, false],
    ['fed by USB', { BAT0: battery('Discharging'), ucsi: { type: 'USB', online: '1' } }, false],
    ['desktop', { AC: mains('1') }, false],
    ['only a mouse has one', { hid: battery('Discharging', 'Device') }, undefined],
    ['empty', {}, undefined],
  ])('%s', (name, all, expected) => {
    mkdirSync(join(folder, name), { recursive: true });
    expect(onBattery(supplies(name, all))).toBe(expected);
  });

  it('hinders, or where it is not known does not', async () => {
    expect(onBattery(join(folder, 'no such folder'))).toBeUndefined();
    expect(await batteryHinders(() => true)()).toBe('the machine runs on its battery');
    expect(await batteryHinders(() => false)()).toBeUndefined();
    const events: RunEvent[] = [];
    const report = (e: RunEvent) => void events.push(e);
    expect(hindrances({ 'pause-on-battery': true }, report, () => undefined)).toEqual([]);
    expect(events).toMatchObject([{ event: 'warning' }]);
    expect(
      hindrances({ 'pause-on-battery': true, 'pause-above-load': '1.5' }, report, () => true),
    ).toHaveLength(2);
  });
});

describe('flags about the machine', () => {
  it.runIf(process.platform === 'linux')('are read', () => {
    expect(sessionOptions({ jobs: '3', memory: '2 GB', nice: '10' }, { BANDWRIGHT_PATIENCE: '5' })).toEqual({
      workers: 3,
      memory: 2e9,
      nice: 10,
      patience: 5000,
    });
    expect(sessionOptions({}, {})).toEqual({});
  });

  it.each([
    [{ jobs: '0' }, '--jobs'],
    [{ memory: '2' }, '--memory'],
    [{ memory: '100 MB' }, '--memory: expected at least 400 MB'],
    [{ nice: '20' }, '--nice'],
    [{ nice: '-5' }, '--nice'],
    [{ nice: 'very' }, '--nice'],
  ])('%o is refused', (flags, message) => {
    expect(() => sessionOptions(flags, {})).toThrow(message);
  });

  it.each(['0', '-1', 'much', ''])('--pause-above-load %s is refused', (load) => {
    expect(() => hindrances({ 'pause-above-load': load }, () => {})).toThrow('--pause-above-load');
  });
});
