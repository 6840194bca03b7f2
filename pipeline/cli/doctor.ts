/** Is this machine ready to trace? Looks at every part that has to be there, and traces a small scene. */
import { cpus, freemem, totalmem } from 'node:os';
import { ProblemError } from '../problem.ts';
import { RELEASED, ROOT } from '../store/installation.mjs';
import { browserAdvice } from '../tracer/browser-search.mjs';
import { buildFiles } from '../tracer/built-files.mjs';
import { usableCores } from '../tracer/cores.ts';
import { tryEngines } from '../tracer/engine-choice.ts';
import { createTracerSession, type TracerSession } from '../tracer/session.ts';
import { trialScene } from '../tracer/trial-scene.ts';
import { packagesState } from './packages.mjs';
import { checkNode } from './setup.mjs';

export interface DoctorRow {
  part: string;
  fine: boolean;
  /** what was found, or why it isn't fine */
  found: string;
  /** what to do; only on rows that aren't fine */
  advice?: string;
}

export interface DoctorReport {
  fine: boolean;
  rows: DoctorRow[];
  /** of the trial, on all cores; absent when it did not run */
  pathsPerSecond?: number;
}

const GIB = 2 ** 30;
/** Films of a large take, a browser and encoders side by side. */
const LEAST_MEMORY = 2 * GIB;
const TRIAL = { size: 256, passes: 32 };

/** Prints the report, as text or as one JSON object. 0 when all is fine, 2 when something is missing. */
export async function doctor(
  flags: { json?: boolean } = {},
  write: (text: string) => void = (text) => process.stdout.write(text),
): Promise<number> {
  const report = await examine();
  write(flags.json ? `${JSON.stringify(report, null, 2)}\n` : text(report));
  return report.fine ? 0 : 2;
}

/** Looks at everything; a part that isn't fine is a row, never an exception. */
export async function examine(): Promise<DoctorReport> {
  const packages = RELEASED ? [] : [packagesRow()];
  const rows = [nodeRow(), machineRow(), memoryRow(), ...packages, await kernelRow()];
  let pathsPerSecond: number | undefined;
  if (rows.every((row) => row.fine)) {
    const session = await createTracerSession();
    try {
      const browser = await browserRows(session);
      rows.push(...browser);
      if (browser.every((row) => row.fine)) {
        const trial = await trialRow(session);
        rows.push(trial.row);
        pathsPerSecond = trial.pathsPerSecond;
        rows.push(await cardRow());
      }
    } finally {
      await session.close();
    }
  }
  return { fine: rows.every((row) => row.fine), rows, pathsPerSecond };
}

function nodeRow(): DoctorRow {
  try {
    checkNode(process.versions.node);
    return { part: 'Node', fine: true, found: process.versions.node };
  } catch (error) {
    return { part: 'Node', fine: false, found: process.versions.node, advice: words(error) };
  }
}

function machineRow(): DoctorRow {
  const found = `${usableCores()} of ${cpus()[0]?.model.trim() ?? 'unknown make'}, ${process.platform} ${process.arch}`;
  return { part: 'cores', fine: true, found };
}

function memoryRow(): DoctorRow {
  const found = `${(totalmem() / GIB).toFixed(1)} GiB, ${(freemem() / GIB).toFixed(1)} GiB free`;
  const fine = totalmem() >= LEAST_MEMORY;
  return { part: 'memory', fine, found, ...(fine ? {} : { advice: 'At least 2 GiB are needed.' }) };
}

function packagesRow(): DoctorRow {
  const state = packagesState(ROOT);
  const fine = state === 'current';
  const found = {
    current: 'as in package-lock.json',
    missing: 'none',
    stale: 'not those of package-lock.json',
  }[state];
  return { part: 'packages', fine, found, ...(fine ? {} : { advice: 'Run `npm run setup`.' }) };
}

async function kernelRow(): Promise<DoctorRow> {
  try {
    const { kernel } = await buildFiles();
    return { part: 'kernel', fine: true, found: kernel };
  } catch (error) {
    const advice =
      'It is built from pipeline/tracer/kernel: is this copy complete? Run `npm ci`, then `npm run setup`.';
    return { part: 'kernel', fine: false, found: words(error), advice };
  }
}

async function browserRows(session: TracerSession): Promise<DoctorRow[]> {
  try {
    const { found, version, fitness, sandboxed } = await session.start();
    const features = [
      ['WebAssembly SIMD', fitness.simd],
      ['workers', fitness.workers],
      ['SharedArrayBuffer', fitness.sharedMemory],
    ] as const;
    return [
      {
        part: 'browser',
        fine: true,
        found: `${version}, ${found.how}: ${found.path}${sandboxed ? '' : ' (without its sandbox)'}`,
      },
      ...features.map(([part, fine]) => ({
        part,
        fine,
        found: fine ? 'works' : 'does not work',
        ...(fine ? {} : { advice: browserAdvice() }),
      })),
    ];
  } catch (error) {
    // what is expected and how to come by it is the advice
    const found = error instanceof ProblemError ? error.problems[0].received : words(error);
    return [{ part: 'browser', fine: false, found, advice: `${browserAdvice()}.` }];
  }
}

async function trialRow(session: TracerSession): Promise<{ row: DoctorRow; pathsPerSecond?: number }> {
  try {
    const scene = trialScene(TRIAL.size, TRIAL.size);
    const { films, paths, seconds } = await session.trace(scene, {
      seed: 1,
      noiseTarget: 0,
      passCap: TRIAL.passes,
    });
    if (!films[0].data.every(Number.isFinite)) throw new Error('the film holds values that are no numbers');
    const pathsPerSecond = Math.round(paths / seconds);
    const found = `${(paths / 1e6).toFixed(1)} million paths in ${seconds.toFixed(1)} s: ${(pathsPerSecond / 1e6).toFixed(2)} million paths/s`;
    return { row: { part: 'trial', fine: true, found }, pathsPerSecond };
  } catch (error) {
    return {
      row: {
        part: 'trial',
        fine: false,
        found: words(error),
        advice: 'Please report this with the output of `bandwright doctor --json`.',
      },
    };
  }
}

/** A card is no need: without one, or with one that refuses, the cores trace. */
async function cardRow(): Promise<DoctorRow> {
  const part = 'graphics card';
  try {
    const { engine, adapter, speeds, why } = await tryEngines();
    const million = (speed: number) => `${(speed / 1e6).toFixed(2)} million paths/s`;
    const tried = speeds?.card && `${million(speeds.card)}, the cores ${million(speeds.cores)}`;
    const parts = [engine === 'webgpu' ? '' : 'none that traces', adapter, tried, why];
    const use = engine === 'webgpu' ? '; --engine auto or gpu uses it' : '';
    return { part, fine: true, found: `${parts.filter(Boolean).join(': ')}${use}` };
  } catch (error) {
    return { part, fine: true, found: `none that traces: ${words(error)}` };
  }
}

const words = (error: unknown) => (error instanceof Error ? error.message : String(error));

function text({ fine, rows }: DoctorReport): string {
  const width = Math.max(...rows.map((row) => row.part.length));
  const lines = rows.flatMap(({ part, fine, found, advice }) => [
    `${fine ? 'ok     ' : 'missing'}  ${part.padEnd(width)}  ${found}`,
    ...(advice ? [`${' '.repeat(width + 11)}${advice}`] : []),
  ]);
  return `${lines.join('\n')}\n\n${fine ? 'Ready to trace.' : 'Not ready to trace.'}\n`;
}
