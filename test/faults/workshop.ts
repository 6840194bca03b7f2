/** A folder with a tiny config in which real runs are disturbed, and the catalogue that an undisturbed run made. */
import { type ChildProcess, spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  realpathSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { orphansOf } from './processes.ts';

const ROOT = resolve(import.meta.dirname, '../..');
const BIN = join(ROOT, 'pipeline/cli/bandwright.mjs');

/** Two shapes, three colourways, tiny frames: everything real, seconds of work. */
const CONFIG = `
catalogue: tiny
title: Tiny
workshop: Test bench
template: plain-court
overrides: { chord-tolerance: 0.05 mm }
grid:
  size: [ISO 52, ISO 58]
  metal: [yellow-18, rose-18, platinum-950]
shots: [three-quarter]
frame: [48 px, 48 px]
quality: { noise: 12 %, passes: 64 }
outputs:
  images: [{ format: webp, widths: [48], quality: 80 }]
  glb: true
sku: T-{size}-{metal}
`;

export interface RunEnd {
  code: number | null;
  signal: NodeJS.Signals | null;
  out: string;
  err: string;
}

export interface RunOptions {
  fault?: string;
  out?: string;
  config?: string;
  flags?: string[];
  env?: Record<string, string>;
  /** called with the process, and again with everything it has said so far */
  during?: (child: ChildProcess, said: string) => void;
}

export class Workshop {
  readonly folder: string;
  readonly out: string;
  readonly config: string;
  /** its takes last long enough to report while they are traced */
  readonly slowConfig: string;
  /** six takes */
  readonly severalConfig: string;
  readonly #references = new Map<string, ReadonlyMap<string, string>>();
  /** files of the undisturbed catalogue, by path, with their hashes */
  reference: ReadonlyMap<string, string> = new Map();
  /** places passed by a whole run, and by one from `stored` on; NaN before `prepare` */
  places = { whole: Number.NaN, publishing: Number.NaN };
  /** ms of an undisturbed run here, as `prepare` saw it */
  undisturbedMs = 5000;
  readonly #temporary: string;

  constructor() {
    this.folder = realpathSync(mkdtempSync(join(tmpdir(), 'bandwright-faults-')));
    this.out = join(this.folder, 'out');
    this.#temporary = join(this.folder, 'tmp');
    mkdirSync(join(this.folder, 'configs'));
    mkdirSync(this.#temporary);
    cpSync(join(ROOT, 'templates'), join(this.folder, 'templates'), { recursive: true });
    this.config = join(this.folder, 'configs/tiny.yaml');
    writeFileSync(this.config, CONFIG);
    this.slowConfig = join(this.folder, 'configs/slow.yaml');
    this.severalConfig = join(this.folder, 'configs/several.yaml');
    writeFileSync(
      this.severalConfig,
      CONFIG.replace('ISO 52, ISO 58', 'ISO 52, ISO 55, ISO 58').replace(
        '[three-quarter]',
        '[three-quarter, front]',
      ),
    );
    writeFileSync(
      this.slowConfig,
      CONFIG.replace('size: [ISO 52, ISO 58]', 'size: [ISO 52]')
        .replace('48 px, 48 px', '160 px, 160 px')
        .replace('noise: 12 %, passes: 64', 'noise: 0.5 %, passes: 128'),
    );
  }

  /** What an undisturbed run of another config comes to; made when it is first asked for. */
  async referenceOf(config: string): Promise<ReadonlyMap<string, string>> {
    const known = this.#references.get(config);
    if (known) return known;
    const out = join(this.folder, 'other-reference');
    rmSync(out, { recursive: true, force: true });
    const end = await this.run({ out, config });
    if (end.code !== 0) throw new Error(`the undisturbed run ended with ${end.code}: ${end.err}`);
    const reference = hashTree(join(out, 'tiny'));
    this.#references.set(config, reference);
    return reference;
  }

  /** Makes the undisturbed catalogue. @returns the places passed by a whole run, and by one that only publishes */
  async prepare(): Promise<{ whole: number; publishing: number }> {
    const out = join(this.folder, 'reference');
    const start = performance.now();
    const first = await this.run({ out, fault: 'count@*' });
    this.undisturbedMs = performance.now() - start;
    if (first.code !== 0) throw new Error(`the undisturbed run ended with ${first.code}: ${first.err}`);
    this.reference = hashTree(join(out, 'tiny'));
    cpSync(out, join(this.folder, 'full'), { recursive: true });
    this.begin('stored');
    const second = await this.run({ fault: 'count@*' });
    const places = (end: RunEnd) => Number(/places passed: (\d+)/.exec(end.err)?.[1]);
    this.places = { whole: places(first), publishing: places(second) };
    return this.places;
  }

  /** Nothing made yet, or everything in the store and nothing published. */
  begin(state: 'nothing' | 'stored'): void {
    rmSync(this.out, { recursive: true, force: true });
    if (state === 'nothing') return;
    cpSync(join(this.folder, 'full'), this.out, { recursive: true });
    rmSync(join(this.out, 'tiny'), { recursive: true });
  }

  /** One run of `make`, to its end, whatever that is. */
  run({
    fault = '',
    out = this.out,
    config = this.config,
    flags = [],
    env = {},
    during,
  }: RunOptions = {}): Promise<RunEnd> {
    const args = ['make', config, '--out', out, '--json', '--jobs', '2', ...flags];
    return this.#spawn(args, { BANDWRIGHT_FAULT: fault, ...env }, during);
  }

  /** Any other command. */
  command(...args: string[]): Promise<RunEnd> {
    return this.#spawn(args, {});
  }

  #spawn(args: string[], env: Record<string, string>, during?: RunOptions['during']): Promise<RunEnd> {
    const child = spawn(process.execPath, [BIN, ...args], {
      cwd: this.folder,
      env: { ...process.env, TMPDIR: this.#temporary, BANDWRIGHT_TEST_MARK: this.folder, ...env },
    });
    let said = '';
    let err = '';
    child.stdout.on('data', (data: Buffer) => {
      said += data;
      during?.(child, said);
    });
    child.stderr.on('data', (data: Buffer) => {
      err += data;
    });
    during?.(child, said);
    return new Promise((done, fail) => {
      child.once('error', fail);
      child.once('close', (code, signal) => done({ code, signal, out: said, err }));
    });
  }

  /** Processes that outlived their run. */
  orphans(): Promise<string[]> {
    return orphansOf(this.folder, 60_000).then((all) =>
      all.map((p) => `${p.pid} ${p.command.slice(0, 120)}`),
    );
  }

  /** Temporary files and folders that are still there. */
  leftovers(): string[] {
    const tmp = readdirSync(this.#temporary).filter((n) => !/^node-compile-cache/.test(n));
    const inOut = existsSync(this.out)
      ? readdirSync(this.out, { recursive: true, encoding: 'utf8' }).filter((n) =>
          /\.tmp$|\/(staging|retired)\/./.test(n),
        )
      : [];
    return [...tmp.map((n) => `tmp/${n}`), ...inOut];
  }

  /** Inode of each take's record in the store: another one means that the take was traced anew. */
  records(): Map<string, number> {
    const films = join(this.out, '.bandwright/store/film');
    const found = new Map<string, number>();
    for (const [name, { ino, size }] of filesBelow(films))
      if (size < 200 && !/\.tmp$/.test(name)) found.set(name, ino);
    return found;
  }

  /** Artefacts of the store, whole ones or not. */
  artefacts(): string[] {
    return [...filesBelow(join(this.out, '.bandwright/store')).keys()].filter((n) => !/\.tmp$/.test(n));
  }

  dispose(): void {
    rmSync(this.folder, { recursive: true, force: true });
  }
}

function filesBelow(folder: string): Map<string, { ino: number; size: number }> {
  const found = new Map<string, { ino: number; size: number }>();
  if (!existsSync(folder)) return found;
  for (const name of readdirSync(folder, { recursive: true, encoding: 'utf8' })) {
    const stat = statSync(join(folder, name), { throwIfNoEntry: false });
    if (stat?.isFile()) found.set(name, { ino: stat.ino, size: stat.size });
  }
  return found;
}

/** Hashes of all visible files of a catalogue folder; what Bandwright keeps for itself there is left out. */
export function hashTree(folder: string): Map<string, string> {
  const hashes = new Map<string, string>();
  for (const name of [...filesBelow(folder).keys()].sort()) {
    // a list of changes tells how often a folder was published, which faults change
    if (name.startsWith('.bandwright') || name === 'changes.json') continue;
    hashes.set(
      name,
      createHash('sha256')
        .update(readFileSync(join(folder, name)))
        .digest('hex'),
    );
  }
  return hashes;
}
