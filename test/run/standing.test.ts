import { chmodSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, it, vi } from 'vitest';
import { ArtefactStore } from '../../pipeline/store/artefact-store.ts';
import { makeNight, type Night, named, openNight } from './tiny-night.ts';

const OUT = 'out';

describe('a run with nothing to do', () => {
  let night: Night;
  let folder: string;
  beforeAll(async () => {
    night = await openNight();
    folder = join(night.folder, OUT, 'tiny');
  });
  afterAll(() => night.dispose());
  afterEach(() => vi.restoreAllMocks());

  /** A run, and how many artefacts it read. */
  async function run(more: Parameters<typeof makeNight>[3] = {}, of = night) {
    const get = vi.spyOn(ArtefactStore.prototype, 'get');
    const { result, events } = await makeNight(of, OUT, () => {}, more);
    const reads = get.mock.calls.length;
    get.mockRestore();
    return { result, events, reads };
  }

  const told = ({ events }: Awaited<ReturnType<typeof run>>) => [
    ...named(events, 'planned'),
    ...named(events, 'checks'),
    ...named(events, 'warning'),
  ];

  it('reads nothing of the store and tells what the long way tells', async () => {
    expect((await run()).result.upToDate).toBe(false);
    // the long way: the record of how it stands is missing
    const record = join(night.folder, OUT, '.bandwright/published/tiny.json');
    const { standing: _, ...rest } = JSON.parse(readFileSync(record, 'utf8'));
    writeFileSync(record, JSON.stringify(rest));
    const long = await run();
    expect(long.result).toMatchObject({ upToDate: true, made: 4 });
    expect(long.reads).toBeGreaterThan(0);
    const short = await run();
    expect(short.reads).toBe(0);
    expect(short.result).toEqual(long.result);
    expect(told(short)).toEqual(told(long));
  });

  const first = () => join(folder, readdirSync(folder).filter((n) => n.startsWith('T-'))[0]);
  const store = () => join(night.folder, OUT, '.bandwright/store/picture');
  const picture = () =>
    join(
      store(),
      readdirSync(store(), { recursive: true, encoding: 'utf8' }).filter((n) => n.length > 20)[0],
    );

  it.each([
    ['a picture is gone', () => rmSync(join(first(), readdirSync(first()).find((n) => n.endsWith('.png'))!))],
    ['an item is gone', () => rmSync(first(), { recursive: true })],
    ['a listing is another', () => writeFileSync(join(folder, 'catalogue.csv'), 'sku\n')],
    ['the page is another of equal length', () => flip(join(folder, 'index.html'))],
    ['an artefact is damaged', () => flip(picture())],
    ['an artefact is gone', () => rmSync(picture())],
  ])('looks closely and mends it when %s', async (_, disturb) => {
    await run();
    expect((await run()).reads).toBe(0);
    const before = contents(folder);
    disturb();
    const mending = await run();
    expect(mending.reads).toBeGreaterThan(0);
    expect(mending.result.failed).toEqual(new Map());
    expect(contents(folder)).toEqual(before);
    // at most one more long way, after artefacts were made anew
    await run();
    expect((await run()).reads).toBe(0);
  });

  it.each([
    ['a file of others came', () => writeFileSync(join(first(), 'note.txt'), 'hello')],
    ['a mode changed', () => chmodSync(join(folder, 'index.html'), 0o600)],
  ])('looks closely when %s', async (_, disturb) => {
    await run();
    disturb();
    expect((await run()).reads).toBeGreaterThan(0);
  });

  it('looks closely at another plan, at a part of it, and after takes that failed', async () => {
    await run();
    expect((await run({ only: () => true })).reads).toBeGreaterThan(0);
    const other = { ...night, plan: { ...night.plan, title: 'Another' } };
    expect((await run({}, other)).reads).toBeGreaterThan(0);
    expect((await run({}, other)).reads).toBe(0);
    const finer = { ...night.plan, quality: { ...night.plan.quality, noise: 0.03 } };
    const fails = () => {
      throw new Error('no light today');
    };
    const { result } = await makeNight({ ...night, plan: finer }, OUT, fails);
    expect(result.failed.size).toBe(4);
    const again = await run({}, { ...night, plan: finer });
    expect(again.result.failed.size).toBe(4);
    expect((await run({ retry: true }, { ...night, plan: finer })).result.failed.size).toBe(0);
  });
});

/** One bit of it, as long as before. */
function flip(path: string): void {
  const bytes = readFileSync(path);
  bytes[bytes.length >> 1] ^= 1;
  writeFileSync(path, bytes);
}

function contents(folder: string): Record<string, string> {
  const all: Record<string, string> = {};
  for (const entry of readdirSync(folder, { recursive: true, withFileTypes: true }))
    if (entry.isFile()) {
      const path = join(entry.parentPath, entry.name);
      all[path] = readFileSync(path, 'base64');
    }
  return all;
}
