import { formatProblem, isRefused } from '../problem.ts';
import { readRingSize } from '../trade/read-ring-size.ts';
import { allSizes, diameterOf, SIZE_SYSTEMS, type SizeInSystem } from '../trade/ring-size.ts';

const USAGE = 'usage: bandwright size "<text>" [--json]   e.g. bandwright size "US 7 1/2"';

/** `+0.42 mm`: how much larger the named size is than the ring. */
function signed(mm: number): string {
  const text = mm.toFixed(2);
  return `${mm < 0 ? '' : '+'}${text === '-0.00' ? '0.00' : text} mm`;
}

function tableOf(sizes: readonly SizeInSystem[]): string {
  const rows = sizes.map((s) => [
    s.name ?? '–',
    s.exact.toFixed(2),
    s.deviationMm === undefined ? 'out of range' : signed(s.deviationMm),
    s.label,
  ]);
  const head = ['nearest', 'exact', 'differs by', 'used in'];
  const widths = head.map((h, i) => Math.max(h.length, ...rows.map((r) => r[i].length)));
  const line = (cells: readonly string[]) =>
    cells
      .map((c, i) => (i === 1 || i === 2 ? c.padStart(widths[i]) : c.padEnd(widths[i])))
      .join('  ')
      .trimEnd();
  return [head, ...rows].map(line).join('\n');
}

/**
 * `bandwright size "<text>" [--json]`: one size in every system. Returns the exit code: 0, or 2 when the text
 * is no size, could be several, or the usage is wrong.
 */
export function size(
  args: readonly string[],
  out: (line: string) => void,
  err: (line: string) => void = out,
): number {
  const json = args.includes('--json');
  const words = args.filter((a) => a !== '--json');
  const flag = words.find((w) => w.startsWith('--'));
  if (flag || words.length === 0) {
    err(flag ? `unknown option ${flag}\n${USAGE}` : USAGE);
    return 2;
  }
  const text = words.join(' ');
  const reading = readRingSize(text);
  if (isRefused(reading)) {
    err(json ? JSON.stringify(reading) : reading.problems.map(formatProblem).join('\n'));
    return 2;
  }
  const { circumferenceMm, name } = reading;
  const diameterMm = diameterOf(circumferenceMm);
  const systems = allSizes(circumferenceMm);
  const notes = SIZE_SYSTEMS.flatMap((s) => s.note ?? []);
  if (json) {
    out(JSON.stringify({ text, name, circumferenceMm, diameterMm, systems, notes }));
    return 0;
  }
  out(
    `${name}: inner circumference ${circumferenceMm.toFixed(2)} mm, inner diameter ${diameterMm.toFixed(2)} mm`,
  );
  out('');
  out(tableOf(systems));
  for (const note of notes) out(`\n${note}`);
  return 0;
}
