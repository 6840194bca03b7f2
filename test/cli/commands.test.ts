import { execFileSync, spawn } from 'node:child_process';
import {
  chmodSync,
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { EXIT } from '../../pipeline/cli/exit.ts';
import { main } from '../../pipeline/cli/main.ts';
import { catalogueSchema } from '../../pipeline/facts/catalogue-schema.ts';
import { signal } from '../tracer/end-processes.ts';

const ROOT = resolve(import.meta.dirname, '../..');
const BIN = join(ROOT, 'pipeline/cli/bandwright.mjs');

/** Two shapes, two colourways, one shot, tiny frames: everything real, seconds of work. */
const CONFIG = `
catalogue: tiny
title: Tiny
workshop: Test bench
template: plain-court
overrides: { chord-tolerance: 0.05 mm, section: { edge: 0.6 mm } }
grid:
  size: [ISO 52, ISO 58]
  metal: [yellow-18, platinum-950]
pairs:
  - name: duo
    when: { size: ISO 52 }
    partner: { size: ISO 58 }
shots: [three-quarter, pair]
frame: [48 px, 48 px]
quality: { noise: 20 %, passes: 16 }
outputs:
  images: [{ format: webp, widths: [48], quality: 80 }]
  glb: true
sku: T-{size}-{metal}
`;

let folder: string;
let config: string;
/** files of the catalogue as the first run makes it */
let made: Record<string, string>;

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'bandwright-cli-'));
  mkdirSync(join(folder, 'configs'));
  cpSync(join(ROOT, 'templates'), join(folder, 'templates'), { recursive: true });
  config = join(folder, 'configs/tiny.yaml');
  writeFileSync(config, CONFIG);
});

afterAll(() => rmSync(folder, { recursive: true, force: true }));

const run = (...args: string[]) => runTelling(() => {}, ...args);

/** A command in this process; `told` hears at once what it says. */
async function runTelling(told: (said: string) => void, ...args: string[]) {
  let out = '';
  let err = '';
  const hear = (said: string) => {
    out += said;
    told(said);
  };
  const code = await main(args, {
    out: { write: hear, terminal: false, columns: 100 },
    err: { write: (t) => (err += t), terminal: false, columns: 100 },
  });
  return { code, out, err };
}

/** All but the list of changes, which tells how often a folder was published. */
function snapshot(dir: string): Record<string, string> {
  const files: Record<string, string> = {};
  for (const name of readdirSync(dir, { recursive: true, encoding: 'utf8' }).sort()) {
    const path = join(dir, name);
    if (statSync(path).isFile() && name !== 'changes.json')
      files[name] = readFileSync(path).toString('base64');
  }
  return files;
}

describe('make', () => {
  it('makes a catalogue, and does nothing the second time', async () => {
    const out = join(folder, 'a');
    const first = await run('make', config, '--out', out);
    expect(first.err).toBe('');
    expect(first.code).toBe(EXIT.ok);
    // Chromium refuses to run as root with its sandbox
    if (process.getuid?.() === 0)
      expect(first.out).toMatch(/warning: Chromium runs without its sandbox here/);
    made = snapshot(join(out, 'tiny'));
    const catalogue = catalogueSchema.parse(
      JSON.parse(readFileSync(join(out, 'tiny/catalogue.json'), 'utf8')),
    );
    expect(catalogue.items.map((i) => i.sku)).toHaveLength(4 + 2);
    for (const item of catalogue.items) expect(made[`${item.sku}/manifest.json`]).toBeDefined();

    const second = await run('make', config, '--out', out);
    expect(second.out).toContain('Nothing to do');
    expect(snapshot(join(out, 'tiny'))).toEqual(made);
    expect(readdirSync(join(out, '.bandwright/reports'))).toHaveLength(2);
  });

  it('weighs bands as Pappus says and names sizes', async () => {
    const { out, code } = await run('check', config, '--json');
    expect(code).toBe(EXIT.ok);
    const { variants } = JSON.parse(out) as {
      variants: {
        sku: string;
        facts: {
          metalMassG: number;
          metals: { volumeMm3: number }[];
          innerDiameterMm: number;
          sizes: { text: string }[];
        };
      }[];
    };
    const [y, p] = ['T-ISO52-Y18', 'T-ISO52-P950'].map((sku) => variants.find((v) => v.sku === sku)?.facts);
    expect(y?.innerDiameterMm).toBeCloseTo(52 / Math.PI, 6);
    // one volume, two densities (15.58 and 20.7 g/cm³)
    expect((p?.metalMassG ?? 0) / (y?.metalMassG ?? 1)).toBeCloseTo(20.7 / 15.58, 6);
    expect(y?.sizes.map((s) => s.text)).toContain('CH 12');
  });

  it('plans without making anything and says why there is work', async () => {
    const out = join(folder, 'never');
    const { code, out: text } = await run('plan', config, '--out', out, '--json');
    expect(code).toBe(EXIT.ok);
    const plan = JSON.parse(text) as {
      variants: number;
      pairs: number;
      shapes: { total: number };
      takes: { trace: boolean; reason: string }[];
    };
    expect(plan).toMatchObject({ variants: 4, pairs: 2, shapes: { total: 2, cached: 0 } });
    expect(plan.takes.every((t) => t.trace && t.reason === 'not traced before')).toBe(true);
    expect(existsSync(out)).toBe(false);

    const cached = JSON.parse(
      (await run('plan', config, '--out', join(folder, 'a'), '--json')).out,
    ) as typeof plan;
    expect(cached.takes.some((t) => t.trace)).toBe(false);

    const other = join(folder, 'configs/other.yaml');
    writeFileSync(other, CONFIG.replace('noise: 20 %', 'noise: 19 %'));
    const changed = JSON.parse(
      (await run('plan', other, '--out', join(folder, 'a'), '--json')).out,
    ) as typeof plan;
    expect(new Set(changed.takes.map((t) => t.reason))).toEqual(new Set(['changed: quality']));
  });

  it('re-encodes without tracing when only the watermark changes', async () => {
    const marked = join(folder, 'configs/marked.yaml');
    writeFileSync(
      marked,
      `${CONFIG}watermark: { text: "Test bench", size: 40 %, anchor: bottom, margin: 4 %, opacity: 50 % }\n`,
    );
    const { out, code } = await run('make', marked, '--out', join(folder, 'a'), '--json');
    expect(code).toBe(EXIT.ok);
    const events = out
      .trim()
      .split('\n')
      .map((l) => JSON.parse(l) as { event: string; toTrace?: number });
    expect(events.find((e) => e.event === 'planned')?.toTrace).toBe(0);
    expect(events.some((e) => e.event === 'take-start')).toBe(false);
    expect(events.some((e) => e.event === 'published')).toBe(true);
  });

  it('leaves out what cannot be built, completes the rest and exits 1', async () => {
    // its edges are too soft for a band of 1 mm; that of 4 mm has the films of the first run
    const thin = join(folder, 'configs/thin.yaml');
    writeFileSync(
      thin,
      CONFIG.replace('catalogue: tiny', 'catalogue: thin')
        .replace(/pairs:[\s\S]*?shots: .*/, 'shots: [three-quarter]')
        .replace('[ISO 52, ISO 58]', '[ISO 52]')
        .replace('  metal:', '  width: [1 mm, 4 mm]\n  metal:')
        .replace('T-{size}', 'T-{width}-{size}'),
    );
    const { code, out, err } = await run('make', thin, '--out', join(folder, 'a'));
    expect(code).toBe(EXIT.failed);
    expect(out).toContain('cannot be built');
    expect(err).toContain('T-1-ISO52-Y18: shape cannot be built');
    const catalogue = catalogueSchema.parse(
      JSON.parse(readFileSync(join(folder, 'a/thin/catalogue.json'), 'utf8')),
    );
    expect(catalogue.items.map((i) => i.sku)).toEqual(['T-4-ISO52-Y18', 'T-4-ISO52-P950']);
  });
});

describe('interruption and bad surroundings', () => {
  it('Ctrl-C leaves no catalogue and exits 130; the same command then completes it, to the same bytes', async () => {
    const out = join(folder, 'interrupted');
    // determinism: another folder, nothing cached, another process, one worker instead of one per core
    const args = ['make', config, '--out', out, '--jobs', '1'];
    // sent by the run to itself as its first take begins: what others send comes when it comes
    const env = { ...process.env, BANDWRIGHT_FAULT: 'int@tracer.page#1' };
    const child = spawn(process.execPath, [BIN, ...args], { cwd: folder, env });
    expect(await new Promise((done) => child.once('exit', done))).toBe(EXIT.interrupted);
    expect(existsSync(join(out, 'tiny/catalogue.json'))).toBe(false);
    const [told] = readdirSync(join(out, '.bandwright/reports'));
    expect(readFileSync(join(out, '.bandwright/reports', told), 'utf8')).toContain('exit status 130');
    expect((await run(...args)).code).toBe(EXIT.ok);
    expect(snapshot(join(out, 'tiny'))).toEqual(made);
  });

  it('makes only what a glob names, and tries a take again when the browser is killed in the midst of it', async () => {
    const slow = join(folder, 'configs/slow.yaml');
    let text = '';
    // a take that was over before its browser was gone is followed by one that lasts longer
    for (let passes = 64; !text.includes('take-retry'); passes *= 4) {
      const out = join(folder, `killed-${passes}`);
      writeFileSync(
        slow,
        CONFIG.replace('48 px, 48 px', '128 px, 128 px')
          .replace('noise: 20 %', 'noise: 0.5 %')
          .replace('passes: 16', `passes: ${passes}`),
      );
      text = '';
      const told = (said: string) => {
        const begun = text.includes('take-progress');
        text += said;
        if (!begun && text.includes('take-progress')) signal(childrenOf(process.pid), 'SIGKILL');
      };
      expect((await runTelling(told, 'make', slow, '--out', out, '--json', '--only', '*ISO58*')).code).toBe(
        EXIT.ok,
      );
      const items = readdirSync(join(out, 'tiny')).filter((n) => n.startsWith('T-'));
      expect(items.sort()).toEqual(['T-ISO58-P950', 'T-ISO58-Y18']);
      for (const item of items) expect(existsSync(join(out, 'tiny', item, 'manifest.json'))).toBe(true);
    }
    const none = await run('make', config, '--out', join(folder, 'none'), '--only', 'X*');
    expect(none.code).toBe(EXIT.usage);
    expect(none.err).toContain('no SKU matches');
  });

  it('refuses an output folder that cannot be written', async () => {
    // root may write anywhere, so a file stands where the folder should be
    const file = join(folder, 'a-file');
    writeFileSync(file, '');
    chmodSync(file, 0o400);
    const { code, err } = await run('make', config, '--out', join(file, 'below'));
    expect(code).toBe(EXIT.usage);
    expect(err).toContain('a-file');
  });

  it('names the command, flag or config that is wrong', async () => {
    expect(await run('bake')).toMatchObject({
      code: EXIT.usage,
      err: expect.stringContaining('no command "bake"'),
    });
    expect(await run('make')).toMatchObject({
      code: EXIT.usage,
      err: expect.stringContaining('one config file'),
    });
    expect(await run('make', config, '--jobs', '0')).toMatchObject({
      code: EXIT.usage,
      err: expect.stringContaining('--jobs'),
    });
    expect(await run('make', config, '--fast')).toMatchObject({
      code: EXIT.usage,
      err: expect.stringContaining('--fast'),
    });
    expect(await run('plan', join(folder, 'none.yaml'))).toMatchObject({
      code: EXIT.usage,
      err: expect.stringContaining('none.yaml'),
    });
    expect((await run('help')).code).toBe(EXIT.ok);
  });
});

/** Direct children of a process: the browser, for a run that traces. */
function childrenOf(pid: number): number[] {
  const rows = execFileSync('ps', ['-eo', 'pid=,ppid=,comm='], { encoding: 'utf8' }).trim().split('\n');
  return rows
    .map((r) => r.trim().split(/\s+/))
    .filter(([, parent, name]) => Number(parent) === pid && /chrom|headless/i.test(name))
    .map(([child]) => Number(child));
}
