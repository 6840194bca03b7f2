import { afterEach, expect, test, vi } from 'vitest';
import { type DoctorReport, doctor } from '../../pipeline/cli/doctor.ts';

afterEach(() => vi.unstubAllEnvs());

async function run(flags: { json?: boolean }): Promise<{ code: number; said: string }> {
  let said = '';
  const code = await doctor(flags, (text) => {
    said += text;
  });
  return { code, said };
}

test('a machine that is ready: every part fine, and the speed of a trial', async () => {
  const { code, said } = await run({ json: true });
  const report: DoctorReport = JSON.parse(said);
  expect(report.rows.filter((row) => !row.fine)).toEqual([]);
  expect(code).toBe(0);
  expect(report.rows.map((row) => row.part)).toEqual([
    'Node',
    'cores',
    'memory',
    'packages',
    'kernel',
    'browser',
    'WebAssembly SIMD',
    'workers',
    'SharedArrayBuffer',
    'trial',
    'graphics card',
  ]);
  const card = report.rows.at(-1)!.found;
  // which is a card to tests that allow it alone
  if (/swiftshader/i.test(card)) expect(card).toMatch(/^none that traces: .* is a processor/);
  // Slower than any machine that could be used, faster than nothing.
  expect(report.pathsPerSecond).toBeGreaterThan(1000);
});

test('no browser: 2, the row says what was tried and what to do', async () => {
  vi.stubEnv('BANDWRIGHT_BROWSER', '/nowhere/chrome');
  const { code, said } = await run({});
  expect(code).toBe(2);
  expect(said).toMatch(/missing +browser .*\/nowhere\/chrome \(BANDWRIGHT_BROWSER\): not an executable file/);
  expect(said).toContain('set BANDWRIGHT_BROWSER to the path');
  expect(said).toContain('Not ready to trace.');
});
