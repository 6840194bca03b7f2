/** Kinds of faults, each done to a real run. Every one tells how many faults really struck. */
import { execFileSync } from 'node:child_process';
import { cpSync, mkdirSync, readFileSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Chance } from './chance.ts';
import { processesOf } from './processes.ts';
import { judgeWhole, type Verdict } from './verdict.ts';
import type { RunEnd, Workshop } from './workshop.ts';

export interface Struck {
  /** faults that struck; 0 if the run ended before */
  count: number;
  /** the run went on to its end and must have made everything */
  finished: boolean;
  why?: string[];
  verdict?: Partial<Verdict>;
}

export interface Scene {
  workshop: Workshop;
  chance: Chance;
  /** about how many places a run passes from here */
  places: number;
  /** about how many ms a run takes from here */
  ms: number;
}

export interface Kind {
  name: string;
  /** `tracing`: only where something is left to trace */
  needs: 'anything' | 'tracing';
  /** share of the draws */
  weight: number;
  /** what it damages on purpose may be made again */
  damages?: true;
  strike(scene: Scene): Promise<Struck>;
}

export const ended = (end: RunEnd, codes: (number | null)[]): Pick<Struck, 'why' | 'verdict'> =>
  codes.includes(end.code)
    ? {}
    : { why: [`exit ${end.code ?? end.signal}: ${end.err.slice(-400)}`], verdict: { misbehaved: 1 } };

/** Rather an early place: what earlier faults let through shortens the way, and a late place is then never reached. */
const early = (chance: Chance, places: number) => 1 + Math.floor(chance.next() ** 2 * 0.8 * places);

/** Kills Node with SIGKILL at one of its own places: around writes, flushes, renames, manifests, the lease. */
const killAtPlace: Kind = {
  name: 'kill -9 of Node at a place of its work',
  needs: 'anything',
  weight: 12,
  async strike({ workshop, chance, places }) {
    const end = await workshop.run({ fault: `kill@*#${early(chance, places)}` });
    return outcome(end, end.signal === 'SIGKILL');
  },
};

const killAtInstant: Kind = {
  name: 'kill -9 of Node at any instant',
  needs: 'anything',
  weight: 8,
  async strike({ workshop, chance, ms }) {
    const at = chance.next() * ms;
    const end = await workshop.run({
      during: (child, said) => {
        if (said === '') setTimeout(() => child.kill('SIGKILL'), at).unref();
      },
    });
    return outcome(end, end.signal === 'SIGKILL');
  },
};

function outcome(end: RunEnd, struck: boolean): Struck {
  return struck ? { count: 1, finished: false } : { count: 0, finished: true, ...ended(end, [0]) };
}

/** The run must survive these by itself: the take is tried again and comes to the same bytes. */
function survived(name: string, fault: string, weight: number): Kind {
  return {
    name,
    needs: 'anything',
    weight,
    async strike({ workshop }) {
      const reference = await workshop.referenceOf(workshop.slowConfig);
      const out = join(workshop.folder, 'slow');
      rmSync(out, { recursive: true, force: true });
      const env = { BANDWRIGHT_PATIENCE: '2' };
      const end = await workshop.run({ out, config: workshop.slowConfig, fault, env });
      const bad = ended(end, [0]);
      const { why, ...counts } = judgeWhole({ out, reference });
      return {
        count: end.out.includes('"event":"take-retry"') ? 1 : 0,
        finished: false,
        why: [...(bad.why ?? []), ...why],
        verdict: { ...counts, ...bad.verdict },
      };
    },
  };
}

const killBrowser: Kind = {
  name: 'kill -9 of a browser process',
  needs: 'tracing',
  weight: 4,
  async strike({ workshop, chance }) {
    let killed = false;
    const delay = chance.next() * 300;
    const end = await workshop.run({
      during: (_, said) => {
        if (killed || !said.includes('take-start')) return;
        killed = true;
        setTimeout(() => {
          const all = processesOf(workshop.folder).filter((p) => /chrom|headless/i.test(p.command));
          if (all.length === 0) return;
          try {
            process.kill(chance.one(all).pid, 'SIGKILL');
          } catch {
            // it just went
          }
        }, delay);
      },
    });
    return { count: killed ? 1 : 0, finished: true, ...ended(end, [0]) };
  },
};

/** Signals: what is under way is finished or dropped, and exit code 130 says so. */
function signalled(name: string, action: string, weight: number): Kind {
  return {
    name,
    needs: 'anything',
    weight,
    async strike({ workshop, chance, places }) {
      const end = await workshop.run({ fault: `${action}@*#${early(chance, places)}` });
      const struck = /Stopping|Asked to end/.test(end.err);
      return { count: struck ? 1 : 0, finished: end.code === 0, ...ended(end, struck ? [0, 130] : [0]) };
    },
  };
}

/** What the operating system says when a write fails: a clear end with code 2 and nothing half-written. */
function refused(code: string, weight: number): Kind {
  return {
    name: `${code} from the file system at a place of its work`,
    needs: 'anything',
    weight,
    async strike({ workshop, chance, places }) {
      const end = await workshop.run({ fault: `${code}@file.*#${early(chance, places)}` });
      const struck = end.code !== 0;
      const clear = end.err.includes(code) && end.code === 2;
      const bad = struck && !clear ? ended(end, []) : {};
      return { count: struck ? 1 : 0, finished: !struck, ...bad };
    },
  };
}

const corruptStore: Kind = {
  name: 'an artefact of the store altered or cut off',
  needs: 'anything',
  weight: 6,
  damages: true,
  async strike({ workshop, chance }) {
    const store = join(workshop.out, '.bandwright/store');
    const names = workshop.artefacts();
    if (names.length === 0) return { count: 0, finished: false };
    const file = join(store, chance.one(names));
    const bytes = readFileSync(file);
    if (chance.next() < 0.3) truncateSync(file, chance.whole(0, bytes.length - 1));
    else {
      bytes[chance.whole(0, bytes.length - 1)] ^= 1 << chance.whole(0, 7);
      // in place: the same inode, as a bad disk has it
      writeFileSync(file, bytes);
    }
    const end = await workshop.run();
    return { count: 1, finished: true, ...ended(end, [0]) };
  },
};

/** Several runs at once on one folder: each waits its turn, and the work is done once. */
const severalRuns: Kind = {
  name: 'three runs at once, one of them killed',
  needs: 'anything',
  weight: 2,
  async strike({ workshop, chance, ms }) {
    const at = chance.next() * ms;
    const victim = workshop.run({
      flags: ['--wait'],
      during: (child, said) => {
        if (said === '') setTimeout(() => child.kill('SIGKILL'), at).unref();
      },
    });
    const others = [workshop.run({ flags: ['--wait'] }), workshop.run({ flags: ['--wait'] })];
    const ends = await Promise.all(others);
    const end = await victim;
    const bad = ends.map((e) => ended(e, [0])).find((e) => e.why) ?? {};
    return { count: end.signal === 'SIGKILL' ? 1 : 0, finished: true, ...bad };
  },
};

const CAN_MOUNT = (() => {
  if (process.platform !== 'linux' || process.getuid?.() !== 0) return false;
  try {
    execFileSync('mount', ['--version']);
    return true;
  } catch {
    return false;
  }
})();

/** Why real file systems that are full or read-only are left out, if they are. */
export const NO_MOUNTS = CAN_MOUNT ? undefined : 'needs root on Linux, to mount a small tmpfs';

function onSmallDisk(
  name: string,
  weight: number,
  act: (folder: string, scene: Scene) => Promise<Struck>,
): Kind {
  return {
    name,
    needs: 'anything',
    weight: CAN_MOUNT ? weight : 0,
    async strike(scene) {
      const folder = join(scene.workshop.folder, 'disk');
      mkdirSync(folder, { recursive: true });
      execFileSync('mount', ['-t', 'tmpfs', '-o', 'size=256m', 'tmpfs', folder]);
      try {
        return await act(folder, scene);
      } finally {
        execFileSync('umount', [folder]);
      }
    },
  };
}

const remount = (folder: string, options: string) =>
  execFileSync('mount', ['-o', `remount,${options}`, folder]);

/** A run there and one more after the disk was mended; the second must make everything. */
async function brokenThenMended(
  { workshop }: Scene,
  out: string,
  spoil: () => void,
  mend: () => void,
): Promise<Struck> {
  spoil();
  const end = await workshop.run({ out });
  mend();
  const clear = end.code === 2 && end.err.includes('"output-not-writable"');
  const first = end.code === 0 || clear ? {} : ended(end, []);
  const again = await workshop.run({ out });
  const second = ended(again, [0]);
  const { why, ...counts } = judgeWhole({ out, reference: workshop.reference });
  return {
    count: end.code === 0 ? 0 : 1,
    finished: false,
    why: [...(first.why ?? []), ...(second.why ?? []), ...why],
    verdict: { ...counts, misbehaved: (first.verdict?.misbehaved ?? 0) + (second.verdict?.misbehaved ?? 0) },
  };
}

const fullDisk = onSmallDisk('a disk that is full (tmpfs)', 3, async (folder, scene) => {
  const out = join(folder, 'out');
  const kilobytes = scene.chance.whole(30, 900);
  return brokenThenMended(
    scene,
    out,
    () => remount(folder, `size=${kilobytes}k`),
    () => remount(folder, 'size=256m'),
  );
});

const readOnly = onSmallDisk('a disk that is read-only (tmpfs)', 2, async (folder, scene) => {
  const out = join(folder, 'out');
  cpSync(join(scene.workshop.folder, 'full'), out, { recursive: true });
  rmSync(join(out, 'tiny'), { recursive: true });
  return brokenThenMended(
    scene,
    out,
    () => remount(folder, 'ro'),
    () => remount(folder, 'rw'),
  );
});

/** A published file altered: `verify --repair` finds it and makes it anew. */
export async function verifyRepairs({ workshop, chance }: Scene): Promise<Struck> {
  const folder = join(workshop.out, 'tiny');
  const names = [...workshop.reference.keys()];
  const name = chance.one(names);
  const bytes = readFileSync(join(folder, name));
  bytes[chance.whole(0, bytes.length - 1)] ^= 1;
  writeFileSync(join(folder, name), bytes);
  const found = await workshop.command('verify', workshop.config, '--out', workshop.out);
  const repaired = await workshop.command('verify', workshop.config, '--out', workshop.out, '--repair');
  const why = [
    ...(found.code === 1 && found.out.includes(name) ? [] : [`verify did not report ${name}: ${found.out}`]),
    ...(repaired.code === 0 ? [] : [`verify --repair ended with ${repaired.code}: ${repaired.err}`]),
  ];
  return { count: 1, finished: true, why, verdict: { misbehaved: why.length } };
}

const pageFaults = [
  survived('no memory for the page', 'page-memory@tracer.page#1', 2),
  survived('the page crashes', 'page-crash@tracer.progress#1', 1),
  survived('the page hangs', 'page-hang@tracer.progress#1', 1),
  survived('a worker ends', 'worker-end@tracer.progress#1', 1),
  survived('a worker hangs', 'worker-hang@tracer.progress#1', 1),
];

/** Kinds done from within or by the machine; `outside.ts` has the others. */
export const INSIDE: readonly Kind[] = [
  killAtPlace,
  killAtInstant,
  killBrowser,
  signalled('SIGINT once', 'int', 4),
  signalled('SIGINT twice', 'int-twice', 3),
  signalled('SIGTERM', 'term', 3),
  refused('ENOSPC', 4),
  refused('EIO', 2),
  refused('EROFS', 1),
  corruptStore,
  severalRuns,
  fullDisk,
  readOnly,
  ...pageFaults,
];
