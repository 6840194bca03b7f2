import { proveLetters } from '../artefacts/letter-faults.ts';
import { DRESS_RULES } from '../facts/dress-checks.ts';
import type { Resizing } from '../facts/resizing.ts';
import { checkState, heldBy } from '../facts/verdict.ts';
import { fitSteps, sideOfRow } from '../facts/wording.ts';
import type { RowSide } from '../plan/design.ts';
import { readPlan } from '../plan/read-plan.ts';
import { formatProblem } from '../problem.ts';
import { type CheckedVariant, checkPlan } from '../run/check.ts';
import { PROVEN } from '../run/proven-files.ts';
import { caratWording, gramWording } from '../trade/mass.ts';
import { markLines } from '../words/mark-words.ts';
import { EXIT } from './exit.ts';
import type { Streams } from './progress.ts';
import { skuFilter } from './sku-filter.ts';
import { parseCommand } from './usage.ts';

const OPTIONS = { only: { type: 'string' }, json: { type: 'boolean', default: false } } as const;

/** Builds every shape and prints facts and bench checks. Exit 1 if a shape cannot be built or an error-level rule fails unwaived. */
export async function check(args: readonly string[], { out, err }: Streams): Promise<number> {
  const { values, config } = parseCommand(args, OPTIONS);
  const { plan, warnings, sources } = await readPlan(config, PROVEN);
  warnings.push(...(await proveLetters(plan)));
  const { axes, variants } = plan;
  const wanted = skuFilter(values.only, { axes, variants });
  // the command speaks English, whatever language the catalogue is in
  const result = await checkPlan({ ...plan, language: 'en' }, wanted ?? (() => true), sources);
  if (values.json) out.write(`${JSON.stringify({ ...result, warnings }, null, 2)}\n`);
  else {
    for (const w of warnings) err.write(`${formatProblem(w)}\n`);
    const told = new Map<string, string>();
    for (const text of unbuilt(result.variants)) out.write(`${text}\n`);
    for (const v of result.variants.filter(({ facts }) => facts)) {
      const first = told.get(v.shape);
      told.set(v.shape, first ?? v.sku);
      out.write(`${describe(v, first)}\n`);
    }
    for (const r of result.resizing) out.write(`${resizingText(r)}\n`);
    for (const rule of result.idleWaivers)
      out.write(`Note: the waiver of ${rule} was not needed: remove it, or it may hide a later fault.\n`);
    for (const c of result.cautions) out.write(`Note: ${c}\n`);
  }
  const bad = result.variants.some((v) => v.problems.length > 0 || (v.facts && heldBy([v.facts]).length > 0));
  return bad ? EXIT.failed : EXIT.ok;
}

type Check = NonNullable<CheckedVariant['facts']>['checks'][number];

/** `first`: the SKU under which the checks of this very shape were printed before. */
function describe(v: CheckedVariant, first: string | undefined): string {
  const f = v.facts;
  if (!f) return v.sku;
  const sizes = f.sizes.map((s) => s.text).join(', ');
  const lines = [
    `${v.sku}  ${Object.values(f.axes).join(', ')}`,
    `  bore ${f.innerDiameterMm.toFixed(2)} mm, circumference ${f.circumferenceMm.toFixed(2)} mm (${sizes})`,
    `  ${f.widthMm.toFixed(2)} mm wide, ${f.thicknessMm.toFixed(2)} mm thick${f.back ? ` (${f.back.widthMm.toFixed(2)} and ${f.back.thicknessMm.toFixed(2)} mm at the back)` : ''}, metal ${gramWording(f.metalMassG)}: ` +
      f.metals.map((m) => `${m.name} ${m.massG.toFixed(2)} g`).join(', '),
    ...rowLines(f),
    ...markLines(f.marks).map(([name, line]) => `  ${name}: ${line}`),
    ...(f.fits ?? []).flatMap((fit) => fitLines(fit, sideOfRow(f, fit.row))),
  ];
  if (first !== undefined)
    return [
      ...lines,
      `  checks as for ${first}, the same shape`,
      ...f.checks.filter((c) => c.waived !== undefined).map((c) => `  waiv  ${c.rule}  waived: ${c.waived}`),
      ...f.checks.filter((c) => METAL_RULES.has(c.rule)).map((c) => checkLine(c, c.rule.length)),
    ].join('\n');
  const width = Math.max(...f.checks.map((k) => k.rule.length));
  return [...lines, ...worstFirst(f.checks).map((c) => checkLine(c, width))].join('\n');
}

const ORDER = ['failed', 'waived', 'note', 'passed'];

/** What has to be looked at stands before what is well, each in the order of the rules. */
function worstFirst(checks: readonly Check[]): Check[] {
  const rank = (c: Check) => 2 * ORDER.indexOf(checkState(c)) + (c.severity === 'error' ? 0 : 1);
  return checks.toSorted((a, b) => rank(a) - rank(b));
}

/** Bands that cannot be built, those with the same problems together. */
function unbuilt(variants: readonly CheckedVariant[]): string[] {
  const alike = new Map<string, string[]>();
  for (const { sku, facts, problems } of variants) {
    if (facts) continue;
    const told = problems.map((p) => `  ${formatProblem(p)}`).join('\n');
    alike.set(told, [...(alike.get(told) ?? []), sku]);
  }
  return [...alike].map(([told, skus]) => {
    const more = skus.length > 1 ? ` (${skus.length} bands with the same fault)` : '';
    return `${skus.join(', ')}  cannot be built${more}\n${told}`;
  });
}

/** A line for each row with all its stones; of one with several sizes or sorts these follow. */
function rowLines({ rows }: NonNullable<CheckedVariant['facts']>): string[] {
  const names = [...new Set(rows.map(rowName))];
  return names.map((name) => {
    const sets = rows.filter((r) => rowName(r) === name);
    const size = (r: (typeof rows)[number]) =>
      `${r.lengthMm === undefined ? '' : `${r.lengthMm.toFixed(2)} by `}${r.diameterMm.toFixed(2)} mm`;
    const carats = caratWording(sets.reduce((sum, r) => sum + r.carats, 0));
    const [first] = sets;
    if (sets.length === 1) return `  ${first.count} × ${size(first)} ${first.label}, ${carats} in total`;
    const count = sets.reduce((sum, r) => sum + r.count, 0);
    const labels = [...new Set(sets.map((r) => r.label))].join(' and ');
    return `  ${count} stones in row ${name}: ${sets.map((r) => `${r.count} × ${size(r)}`).join(', ')}; ${labels}, ${carats} in total`;
  });
}

/** Of a set the row to which it belongs: the size, or what takes turns or stands in the middle, comes after. */
const rowName = ({ name }: { name: string }) => name.split(' ')[0].replace(/-(?:\d+|centre)$/, '');

/** Rules that look at alloys and stones, which differ where shapes are the same. */
const METAL_RULES: ReadonlySet<string> = new Set([
  ...DRESS_RULES.map(({ rule }) => rule),
  'nickel-release',
  'hallmark-mass',
]);

/** What lies behind the culets of stones that are set from a side. */
const BEHIND = { outside: 'above the bore', bore: 'below the outside', face: 'from the other side' };

/** How a row fits, and what one stone fewer or more would change. */
function fitLines(
  fit: NonNullable<NonNullable<CheckedVariant['facts']>['fits']>[number],
  side: RowSide,
): string[] {
  const gap = fit.gapMm === null ? 'no gap' : `gap ${fit.gapMm.toFixed(3)} mm`;
  const left = `wall ${fit.wallMm.toFixed(3)} mm, culets ${fit.underCuletMm.toFixed(3)} mm ${BEHIND[side]}`;
  return [
    `  fit of ${fit.row}: ${fit.count} stones, ${gap} (least ${fit.leastGapMm.toFixed(3)} mm), ${left}`,
    ...fitSteps(fit).map((step) => `    ${step}`),
  ];
}

/** A table of one design's sizes: what stays, then what each size came to. */
function resizingText({ sku, stays, sizes }: Resizing): string {
  const [first] = sizes;
  const head = [
    'size',
    'bore',
    ...first.rows.flatMap((r) => [`${r.name} stones`, 'pitch', 'gap']),
    ...first.seams.map((s) => `wave ${s.seam}`),
    'metal',
  ];
  const mm = (value: number | null) => (value === null ? '–' : `${value.toFixed(3)} mm`);
  const rows = sizes.map((s) => [
    s.size,
    `${s.innerDiameterMm.toFixed(2)} mm`,
    ...s.rows.flatMap((r) => [String(r.count), mm(r.pitchMm), mm(r.gapMm)]),
    ...s.seams.map((w) => `${w.periods} × ${w.waveLengthMm.toFixed(2)} mm`),
    `${s.massG.toFixed(2)} g`,
  ]);
  const widths = head.map((h, i) => Math.max(h.length, ...rows.map((r) => r[i].length)));
  const line = (cells: string[]) =>
    `  ${cells
      .map((c, i) => c.padEnd(widths[i]))
      .join('  ')
      .trimEnd()}`;
  return [
    `Resizing ${sku}, ${sizes.length} sizes; stays: ${stays.join('; ')}`,
    line(head),
    ...rows.map(line),
  ].join('\n');
}

/** A rule that holds needs no source to be believed; one that doesn't names it. All sources are in `--json`. */
function checkLine(c: Check, width: number): string {
  const failed = c.severity === 'error' ? 'FAIL' : 'warn';
  const mark = { passed: 'ok  ', waived: 'waiv', note: 'note', failed }[checkState(c)];
  const source = c.passed ? '' : `  [${c.source}]`;
  return `  ${mark}  ${c.rule.padEnd(width)}  ${c.measured} (limit ${c.limit}), ${c.place}${source}${c.waived === undefined ? '' : `  waived: ${c.waived}`}`;
}
