/**
 * `npm run test:inputs`: every bad input through the command's own entry, and every thirtieth as a process of its own, as
 * users start it. Each must end with exit 2, a place and advice within 3 s and 400 MB, and without a stack trace.
 *
 * The 3 s are of processor time, since machines are busy; the time by the clock is written beside it, and more than a minute of
 * that is a hang. Most run 40 to a process; their seconds are their own, and the memory is the most that this process held
 * until then, thus at least theirs. Long texts are tried as processes only, which hold nothing else. What a process costs
 * that refuses a file at once is measured first and written down as `start`: 3 s hold for what an input adds to it.
 * Writes output/bad-inputs.json; exit 1 unless all are clear.
 */
import { spawn } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { badCommand } from './bad-input.ts';
import { badInputs } from './list.ts';
import { type Answer, faultsOf, MOST_BYTES, MOST_SECONDS, prepareFolder, tryProcess } from './trial.ts';

const BATCH = 40;
const LONG_TEXTS = 'long texts';
const AS_PROCESS = 30;
/** ms without an answer after which a batch is taken to hang */
const HANG = 90_000;

/** Answers of inputs `first` to `last`; of one that hangs or ends the process there is none, and the rest is not tried. */
function batch(folder: string, first: number, last: number): Promise<Map<number, Answer | undefined>> {
  const args = ['--import', './pipeline/cli/typescript.mjs', 'test/inputs/batch.ts'];
  const child = spawn(process.execPath, [...args, folder, String(first), String(last)], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const answers = new Map<number, Answer | undefined>();
  let watchdog = setTimeout(() => child.kill('SIGKILL'), 2 * HANG);
  createInterface({ input: child.stdout }).on('line', (line) => {
    clearTimeout(watchdog);
    watchdog = setTimeout(() => child.kill('SIGKILL'), HANG);
    const { i, answer } = JSON.parse(line) as { i: number; answer?: Answer };
    answers.set(i, answer);
  });
  return new Promise((resolve) => {
    child.once('close', () => {
      clearTimeout(watchdog);
      resolve(answers);
    });
  });
}

const NONE: Answer = { exit: undefined, said: '', seconds: HANG / 1000, cpu: 0, peak: 0 };
const folder = mkdtempSync(join(tmpdir(), 'bandwright-inputs-'));
prepareFolder(folder);
const list = await badInputs();
const tried: {
  group: string;
  name: string;
  how: string;
  seconds: number;
  cpuSeconds: number;
  megabytes: number;
  faults: string[];
}[] = [];
const record = (i: number, how: string, answer: Answer) => {
  const { group, name } = list[i];
  const faults = faultsOf(answer);
  const megabytes = Math.round(answer.peak / 1e6);
  tried.push({
    group,
    name,
    how,
    seconds: Number(answer.seconds.toFixed(3)),
    cpuSeconds: Number(answer.cpu.toFixed(3)),
    megabytes,
    faults,
  });
  if (faults.length > 0)
    console.log(`${i} ${group}: ${name} (${how}): ${faults.join(', ')}\n    ${answer.said.slice(0, 300)}`);
};
const start = await tryProcess(badCommand('commands', 'plan', '{f}/none.yaml'), folder);
const asProcess = async (i: number) => {
  const answer = await tryProcess(list[i], folder);
  record(i, 'as a process', { ...answer, cpu: Math.max(0, answer.cpu - start.cpu) });
};
const isLong = (i: number) => list[i]?.group === LONG_TEXTS;
for (let next = 0; next < list.length; ) {
  if (isLong(next)) {
    await asProcess(next++);
    continue;
  }
  let end = next;
  while (end < Math.min(list.length, next + BATCH) && !isLong(end)) end++;
  const answers = await batch(folder, next, end);
  if (answers.size === 0) throw new Error('the trial itself does not start');
  for (const [i, answer] of answers) record(i, 'in a process of many', answer ?? NONE);
  next = Math.max(...answers.keys()) + 1;
}
for (let i = 0; i < list.length; i += AS_PROCESS)
  if (!isLong(i) && !list[i].args.some((a) => a.includes('\0'))) await asProcess(i);
rmSync(folder, { recursive: true, force: true });

const most = (how: string, of: 'seconds' | 'cpuSeconds' | 'megabytes') =>
  Math.max(...tried.filter((t) => t.how === how).map((t) => t[of]));
const processes = tried.filter((t) => t.how === 'as a process');
const unclear = new Set(tried.filter((t) => t.faults.length > 0).map((t) => `${t.group}\0${t.name}`));
const result = {
  tried: list.length,
  clear: list.filter((t) => !unclear.has(`${t.group}\0${t.name}`)).length,
  limits: { cpuSeconds: MOST_SECONDS, megabytes: MOST_BYTES / 1e6 },
  start: { cpuSeconds: start.cpu, megabytes: Math.round(start.peak / 1e6) },
  inProcess: {
    tried: tried.length - processes.length,
    mostSeconds: most('in a process of many', 'seconds'),
    mostCpuSeconds: most('in a process of many', 'cpuSeconds'),
    mostMegabytes: most('in a process of many', 'megabytes'),
  },
  asProcess: {
    tried: processes.length,
    mostSeconds: most('as a process', 'seconds'),
    mostCpuSeconds: most('as a process', 'cpuSeconds'),
    mostMegabytes: most('as a process', 'megabytes'),
  },
  inputs: tried,
};
mkdirSync('output', { recursive: true });
writeFileSync('output/bad-inputs.json', `${JSON.stringify(result, null, 1)}\n`);
console.log(JSON.stringify({ ...result, inputs: undefined }));
process.exitCode = result.clear === result.tried ? 0 : 1;
