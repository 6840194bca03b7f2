/** Faults that come from outside, without a hook in the pipeline: kills, links, special files, inputs cut off. */
import { execFileSync } from 'node:child_process';
import {
  existsSync,
  lstatSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { dirname, join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { ended, type Kind, type Scene, type Struck } from './injections.ts';
import { processesBelow, type Seen } from './processes.ts';
import { judgeWhole } from './verdict.ts';
import { hashTree, type RunEnd, type RunOptions, type Workshop } from './workshop.ts';

/**
 * ms without a word after which a run counts as hanging: less, on an idle machine, than the minute that puppeteer waits
 * for an answer. Not its whole time, which others on the machine lengthen several times.
 */
const hangsAfter = ({ undisturbedMs }: Workshop) => 20_000 + 3 * undisturbedMs;
const isBrowser = ({ command }: Seen) => /chrom|headless/i.test(command);

/** A run that is killed, and counted as misbehaved, when it hangs. */
async function timely(
  workshop: Workshop,
  options: RunOptions = {},
): Promise<{ end: RunEnd; late: string[] }> {
  const late: string[] = [];
  const quiet = hangsAfter(workshop);
  let timer: NodeJS.Timeout | undefined;
  const end = await workshop.run({
    ...options,
    during: (child, said) => {
      clearTimeout(timer);
      timer = setTimeout(() => {
        late.push(`it hung for ${Math.round(quiet / 1000)} s after: ${said.slice(-200)}`);
        child.kill('SIGKILL');
      }, quiet);
      options.during?.(child, said);
    },
  });
  clearTimeout(timer);
  return { end, late };
}

function kill({ pid }: Pick<Seen, 'pid'>): boolean {
  try {
    return process.kill(pid, 'SIGKILL');
  } catch {
    return false; // it just went
  }
}

/** Kills one of a run's processes, Node or any of the browser's, at a moment that nothing but chance decides. */
const killAny: Kind = {
  name: 'kill -9 from outside in a run of several takes',
  needs: 'anything',
  weight: 3,
  async strike({ workshop, chance }) {
    const out = join(workshop.folder, 'several');
    const config = workshop.severalConfig;
    const reference = await workshop.referenceOf(config);
    rmSync(out, { recursive: true, force: true });
    const why: string[] = [];
    let count = 0;
    for (let i = 0; i < 4; i++) {
      const over = new AbortController();
      let node = 0;
      const run = timely(workshop, {
        out,
        config,
        during: (child) => {
          node = child.pid ?? 0;
        },
      }).finally(() => over.abort());
      const after = chance.next() * 8000;
      const share = chance.next();
      await pause(after, undefined, { signal: over.signal }).catch(() => {});
      const browsers = over.signal.aborted ? [] : processesBelow(node).filter(isBrowser);
      const victim = share < 0.5 || browsers.length === 0 ? node : chance.one(browsers).pid;
      if (!over.signal.aborted && kill({ pid: victim })) count++;
      const { end, late } = await run;
      const dead = victim === node && end.signal === 'SIGKILL';
      why.push(...late, ...(dead ? [] : (ended(end, [0]).why ?? [])));
      if (end.code === 0) break;
    }
    const { end, late } = await timely(workshop, { out, config });
    // one that was stopped here has lost nothing by that
    if (late.length > 0) await workshop.run({ out, config });
    const { why: wrong, ...counts } = judgeWhole({ out, reference });
    why.push(...late, ...(ended(end, [0]).why ?? []));
    return {
      count,
      finished: false,
      why: [...why, ...wrong],
      verdict: { ...counts, misbehaved: why.length },
    };
  },
};

const killStarting: Kind = {
  name: 'kill -9 of a browser process while it starts',
  needs: 'tracing',
  weight: 3,
  async strike({ workshop, chance }) {
    const over = new AbortController();
    let node = 0;
    const during: RunOptions['during'] = (child) => {
      node = child.pid ?? 0;
    };
    const run = timely(workshop, { during }).finally(() => over.abort());
    const sort = chance.next() < 0.5 ? /--type=zygote/ : /--type=(zygote|renderer|utility)/;
    const after = chance.next() ** 2 * 600;
    const able = () => processesBelow(node).filter((p) => sort.test(p.command));
    let struck = false;
    while (!over.signal.aborted && !struck) {
      if (able().length > 0) {
        await pause(after);
        const all = able();
        if (all.length === 0) break;
        struck = kill(chance.one(all));
      }
      await pause(10);
    }
    const { end, late } = await run;
    return finished(struck ? 1 : 0, end, late);
  },
};

function finished(count: number, end: RunEnd, wrong: readonly string[]): Struck {
  const why = [...wrong, ...(ended(end, [0]).why ?? [])];
  return { count, finished: why.length === 0, why, verdict: { misbehaved: why.length } };
}

const OWN_FOLDERS = [
  '.bandwright',
  '.bandwright/store',
  '.bandwright/store/film',
  '.bandwright/store/picture',
  '.bandwright/checkpoints',
  '.bandwright/published',
  '.bandwright/reports',
  '.bandwright/lease',
  'tiny',
  'tiny/.bandwright',
  'tiny/.bandwright/staging',
  'tiny/.bandwright/retired',
  'tiny/models',
  'tiny/page',
];

/** Another's folder behind a link, in the place of one of ours: refused, and nothing in it is touched. */
const links: Kind = {
  name: 'a link to a folder in the place of one of its own',
  needs: 'anything',
  weight: 2,
  async strike({ workshop, chance }) {
    const place = join(workshop.out, chance.one(OWN_FOLDERS));
    const others = join(workshop.folder, 'others');
    rmSync(others, { recursive: true, force: true });
    mkdirSync(join(others, 'T-52-Y18~0123456789ab'), { recursive: true });
    for (const name of [
      'T-52-Y18~0123456789ab/diary.txt',
      '.old.0123456789ab.tmp',
      '00000001',
      'manifest.json',
    ])
      writeFileSync(join(others, name), 'mine');
    const before = JSON.stringify([...hashTree(others)]);
    const aside = join(workshop.folder, 'aside');
    const there = lstatSync(place, { throwIfNoEntry: false });
    mkdirSync(dirname(place), { recursive: true });
    if (there) renameSync(place, aside);
    symlinkSync(others, place);
    const { end, late } = await timely(workshop);
    rmSync(place);
    if (there) renameSync(aside, place);
    const why = [...late];
    if (end.code !== 2 || !end.err.includes('folder-not-ours'))
      why.push(`exit ${end.code} at ${place}: ${end.err.slice(-400)}`);
    if (JSON.stringify([...hashTree(others)]) !== before) why.push(`what lay behind ${place} was touched`);
    return { count: 1, finished: false, why, verdict: { misbehaved: why.length } };
  },
};

const SPECIAL: ((place: string) => void)[] = [
  (place) => void execFileSync('mkfifo', [place]),
  (place) => symlinkSync('/dev/zero', place),
  (place) => symlinkSync('/etc/passwd', place),
  (place) => symlinkSync('/nowhere', place),
];

/** A pipe, a device or a link in the place of any file of ours: neither waited for nor followed, and made anew. */
const specialFiles: Kind = {
  name: 'a special file in the place of one of its own',
  needs: 'anything',
  weight: 3,
  damages: true,
  async strike({ workshop, chance }) {
    const files = existsSync(workshop.out)
      ? readdirSync(workshop.out, { recursive: true, withFileTypes: true }).filter((f) => f.isFile())
      : [];
    if (files.length === 0) return { count: 0, finished: false };
    const { parentPath, name } = chance.one(files);
    const place = join(parentPath, name);
    rmSync(place);
    chance.one(SPECIAL)(place);
    const { end, late } = await timely(workshop);
    // what a run does not need it leaves as it found it
    if (!lstatSync(place, { throwIfNoEntry: false })?.isFile()) rmSync(place, { force: true });
    return finished(
      1,
      end,
      late.map((l) => `${l} at ${place}`),
    );
  },
};

/** Inputs cut off anywhere: read as what is left of them, or refused with a place; never more than that. */
const cutInputs: Kind = {
  name: 'an input that is cut off',
  needs: 'anything',
  weight: 2,
  async strike(scene: Scene) {
    const { workshop, chance } = scene;
    const folder = join(workshop.folder, 'cut');
    mkdirSync(folder, { recursive: true });
    const inputs: Record<string, string | Buffer> = {
      'cut.yaml': `${readFileSync(workshop.config, 'utf8')
        .replace('template: plain-court', 'template: ./band.yaml')
        .trimEnd()}\nwatermark: { image: logo.svg }\n`,
      'band.yaml': readFileSync(join(workshop.folder, 'templates/plain-court.yaml')),
      'logo.svg': '<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><path d="M0 0h9v9z"/></svg>',
    };
    const cut = chance.one(Object.keys(inputs));
    inputs[cut] = Buffer.from(inputs[cut]).subarray(0, chance.whole(0, inputs[cut].length - 1));
    for (const [name, bytes] of Object.entries(inputs)) writeFileSync(join(folder, name), bytes);
    const end = await workshop.command('plan', join(folder, 'cut.yaml'), '--out', join(folder, 'out'));
    const why = ended(end, [0, 2]).why ?? [];
    if (/\n\s+at .*:\d+:\d+/.test(end.err)) why.push(`${cut}: a stack trace: ${end.err.slice(0, 400)}`);
    if (end.code === 2 && !/\[[a-z-]+\]/.test(end.err)) why.push(`${cut}: no problem is named: ${end.err}`);
    return { count: 1, finished: false, why, verdict: { misbehaved: why.length } };
  },
};

export const OUTSIDE: readonly Kind[] = [killAny, killStarting, links, specialFiles, cutInputs];
