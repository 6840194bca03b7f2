/** What stands in the place of Bandwright's own folders and files in an output folder, put there by others. */
import { execFileSync } from 'node:child_process';
import {
  chownSync,
  existsSync,
  lstatSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { dirname, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { publishPrivate } from '../../pipeline/publish/private-folder.ts';
import { verifyCatalogue } from '../../pipeline/run/verifying.ts';
import { makeNight, type Night, openNight } from './tiny-night.ts';

const POSIX = process.platform !== 'win32';

describe.skipIf(!POSIX)('folders of its own that are others’', () => {
  let night: Night;
  beforeAll(async () => {
    night = await openNight();
    await makeNight(night, 'out');
  });
  afterAll(() => night.dispose());

  const inOut = (path: string) => join(night.folder, 'out', path);

  const PLACES = [
    '.bandwright',
    '.bandwright/store',
    '.bandwright/store/film',
    '.bandwright/checkpoints',
    '.bandwright/lease',
    'tiny',
    'tiny/.bandwright',
    'tiny/.bandwright/staging',
    'tiny/.bandwright/retired',
    'tiny/models',
    'tiny/page',
  ];

  /** Somebody else's folder with files that look like leftovers of killed runs. */
  function foreign(): { folder: string; files: () => string[] } {
    const folder = join(night.folder, `foreign-${Math.random()}`);
    mkdirSync(join(folder, 'T-ISO52-Y18~0123456789ab'), { recursive: true });
    writeFileSync(join(folder, 'T-ISO52-Y18~0123456789ab/diary.txt'), 'mine');
    writeFileSync(join(folder, '.left.0123456789ab.tmp'), 'mine too');
    return { folder, files: () => readdirSync(folder, { recursive: true, encoding: 'utf8' }).sort() };
  }

  /** Puts `there` aside, does what `act` does, and puts it back. */
  async function inPlaceOf(
    path: string,
    put: (path: string) => void,
    act: () => Promise<void>,
  ): Promise<void> {
    const place = inOut(path);
    mkdirSync(dirname(place), { recursive: true });
    const aside = existsSync(place) ? join(night.folder, 'aside') : undefined;
    if (aside) renameSync(place, aside);
    put(place);
    try {
      await act();
    } finally {
      rmSync(place, { recursive: true, force: true });
      if (aside) renameSync(aside, place);
    }
  }

  it.each(PLACES)('%s as a link: refused with its place, and nothing behind it is touched', async (path) => {
    const { folder, files } = foreign();
    const before = files();
    await inPlaceOf(
      path,
      (place) => symlinkSync(folder, place),
      async () => {
        const error = await makeNight(night, 'out').catch((e) => e);
        expect(String(error)).toContain('folder-not-ours');
        expect(error.problems[0]).toMatchObject({ path: inOut(path), received: 'a link' });
        await expect(verifyCatalogue(inOut('.'), 'tiny', { remove: true })).rejects.toThrow(
          'folder-not-ours',
        );
      },
    );
    expect(files()).toEqual(before);
  });

  it.skipIf(process.getuid?.() !== 0)('of another user: refused', async () => {
    await inPlaceOf(
      'tiny/.bandwright',
      (place) => {
        mkdirSync(join(place, 'staging/x'), { recursive: true });
        chownSync(join(place, 'staging'), 12_345, 12_345);
      },
      async () => {
        await expect(makeNight(night, 'out')).rejects.toThrow('another user (id 12345)');
        expect(existsSync(inOut('tiny/.bandwright/staging/x'))).toBe(true);
      },
    );
  });

  const item = () => join('tiny', readdirSync(inOut('tiny')).find((n) => n.startsWith('T-'))!);
  const artefact = () => {
    const store = '.bandwright/store';
    const names = readdirSync(inOut(store), { recursive: true, encoding: 'utf8' });
    return join(store, names.find((n) => /^picture\/..\/./.test(n))!);
  };
  const FILES: [string, () => string][] = [
    ['a manifest', () => join(item(), 'manifest.json')],
    ['a listing', () => 'tiny/catalogue.json'],
    ['the table of costs', () => '.bandwright/costs.json'],
    ['the record of what was published', () => '.bandwright/published/tiny.json'],
    ['an artefact', artefact],
  ];
  /** One for each of the files, made by one start of `mkfifo`. */
  let pipes: string[];
  beforeAll(() => {
    pipes = FILES.map((_, i) => join(night.folder, `pipe-${i}`));
    execFileSync('mkfifo', pipes);
  });
  const KINDS: [string, (place: string) => void][] = [
    ['a pipe', (place) => renameSync(pipes.pop()!, place)],
    ['a link to /dev/zero', (place) => symlinkSync('/dev/zero', place)],
    ['a link to a file elsewhere', (place) => symlinkSync('/etc/hostname', place)],
  ];

  it.each(FILES.flatMap(([what, path]) => KINDS.map(([kind, put]) => [what, kind, path, put] as const)))(
    '%s that is %s is made anew, and neither waited for nor followed',
    async (_, __, path, put) => {
      const place = inOut(path());
      const bytes = readFileSync(place);
      rmSync(place);
      put(place);
      const { result } = await makeNight(night, 'out');
      expect(result.failed).toEqual(new Map());
      const isFile = lstatSync(place).isFile();
      // costs are written with the next take that is measured
      if (place.endsWith('costs.json')) writeAnew(place, bytes);
      else expect(isFile).toBe(true);
      if (place.includes('tiny/')) expect(readFileSync(place)).toEqual(bytes);
    },
  );
});

function writeAnew(path: string, bytes: Uint8Array): void {
  rmSync(path);
  writeFileSync(path, bytes);
}

describe.skipIf(!POSIX)('the private folder', () => {
  let night: Night;
  beforeAll(async () => {
    night = await openNight();
  });
  afterAll(() => night.dispose());

  const file = { name: 'pair-A.html', key: 'k', data: async () => Buffer.from('Anna and Ben') };
  const publish = (folder: string) =>
    publishPrivate(folder, [file], { note: 'n', prices: 'p', orders: () => 'o' }, () => false);
  const modeOf = (path: string) => (statSync(path).mode & 0o777).toString(8);

  it('is closed to others, file by file, also what an older run left open', async () => {
    const folder = join(night.folder, 'a-private');
    const old = process.umask(0);
    try {
      mkdirSync(join(folder, 'proofs'), { recursive: true });
      writeFileSync(join(folder, 'READ-ME-FIRST.txt'), 'n');
      await publish(folder);
    } finally {
      process.umask(old);
    }
    for (const entry of readdirSync(folder, { recursive: true, withFileTypes: true }))
      expect(modeOf(join(entry.parentPath, entry.name)), entry.name).toBe(
        entry.isDirectory() ? '700' : '600',
      );
    expect(modeOf(folder)).toBe('700');
    expect(readdirSync(join(folder, 'proofs')).sort()).toEqual(['orders.csv', 'pair-A.html', 'proofs.json']);
  });

  it.each(['', 'proofs'])('no name goes through a link at "%s"', async (at) => {
    const folder = join(night.folder, `b${at}-private`);
    const readable = join(night.folder, `readable${at}`);
    mkdirSync(readable);
    if (at) mkdirSync(folder);
    symlinkSync(readable, join(folder, at));
    await expect(publish(folder)).rejects.toThrow('folder-not-ours');
    expect(readdirSync(readable)).toEqual([]);
  });
});
