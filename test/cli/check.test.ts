import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { EXIT } from '../../pipeline/cli/exit.ts';
import { main } from '../../pipeline/cli/main.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-check-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Of the sizes of the grid, one where a second would show nothing more. */
const ONE = 'ISO 53';
const TWO = 'ISO 60, ISO 53';

async function check(sizes: string, bench: string, ...flags: string[]) {
  const file = join(folder, 'check.yaml');
  writeFileSync(
    file,
    `catalogue: bench
title: Bench
workshop: Test bench
template: ${resolve('templates/tideline.yaml')}
overrides: { chord-tolerance: 0.1 mm, rows: { crest: { coverage: 60 deg } } }
origins: { diamond: laboratory-grown }
grid: { size: [${sizes}], metal: [yellow-18, platinum-950] }
shots: [front]
sku: B-{size}-{metal}
${bench}
`,
  );
  let out = '';
  let err = '';
  const code = await main(['check', file, ...flags], {
    out: { write: (t) => (out += t), terminal: false, columns: 100 },
    err: { write: (t) => (err += t), terminal: false, columns: 100 },
  });
  return { code, out, err };
}

it('passes by the usual limits and tells what a waiver that is not needed hides', async () => {
  const { code, out } = await check(ONE, 'bench: { waive: { girdle-gap: no need } }');
  expect(code).toBe(EXIT.ok);
  expect(out).toMatch(/ok {4}girdle-gap .*limit at least 0\.15 mm, an error below 0\.10 mm/);
  expect(out).not.toContain('waived: no need');
  expect(out).toContain('the waiver of girdle-gap was not needed');
});

it('fails on a limit of the config, unless waived by name with a reason', async () => {
  const strict = await check(ONE, 'bench: { limits: { girdle-gap: 0.5 mm } }');
  expect(strict.code).toBe(EXIT.failed);
  expect(strict.out).toMatch(
    /FAIL {2}girdle-gap .*limit at least 0\.50 mm \(usual: at least 0\.15 mm.*limit of the config; usual: under a microscope/,
  );
  const waived = await check(
    ONE,
    'bench: { limits: { girdle-gap: 0.5 mm }, waive: { girdle-gap: "set by hand" } }',
  );
  expect(waived.code).toBe(EXIT.ok);
  expect(waived.out).toMatch(/waiv {2}girdle-gap .*waived: set by hand/);
  const half = await check(
    TWO,
    'bench: { limits: { girdle-gap: 0.5 mm }, waive: { girdle-gap: { reason: x, when: { size: ISO 53 } } } }',
    '--json',
  );
  expect(half.code).toBe(EXIT.failed);
  const { variants } = JSON.parse(half.out) as {
    variants: { sku: string; facts: { checks: { rule: string; waived?: string }[] } }[];
  };
  for (const { sku, facts } of variants)
    expect(facts.checks.find((c) => c.rule === 'girdle-gap')?.waived).toBe(
      sku.includes('ISO53') ? 'x' : undefined,
    );
});

it('names the rule that was meant, and refuses a number in the wrong unit', async () => {
  const slip = await check(ONE, 'bench: { limits: { girdle-gab: 0.5 mm }, waive: { clawbite: because } }');
  expect(slip.code).toBe(EXIT.usage);
  expect(slip.err).toContain('Did you mean "girdle-gap"?');
  expect(slip.err).toContain('Did you mean "claw-bite"?');
  expect((await check(ONE, 'bench: { limits: { girdle-gap: 0.1 in } }')).err).toContain('2.54 mm');
});

it('reports a design over its sizes, small ones first', async () => {
  const { out } = await check(TWO, '', '--json');
  const { resizing } = JSON.parse(out) as {
    resizing: {
      stays: string[];
      sizes: {
        size: string;
        innerDiameterMm: number;
        massG: number;
        rows: { count: number; pitchMm: number; gapMm: number }[];
        seams: { periods: number; waveLengthMm: number }[];
      }[];
    }[];
  };
  expect(resizing).toHaveLength(1);
  const [small, large] = resizing[0].sizes;
  expect([small.size, large.size]).toEqual(['ISO 53', 'ISO 60']);
  expect(large.rows[0].count).toBeGreaterThan(small.rows[0].count);
  // pitch is gap and girdle: the diameter is the template's 1.5 mm at both sizes
  for (const { rows } of [small, large]) expect(rows[0].pitchMm - rows[0].gapMm).toBeCloseTo(1.5, 9);
  // whole waves stay; together they go round the outside: 2π times the thickness longer than the bore (closed form)
  for (const { seams, innerDiameterMm } of [small, large])
    for (const s of seams)
      expect(Math.abs(s.waveLengthMm * s.periods - Math.PI * (innerDiameterMm + 2 * 1.9))).toBeLessThan(0.9);
  expect(small.seams.map((s) => s.periods)).toEqual(large.seams.map((s) => s.periods));
  // masses in one alloy: with the same section they grow about as the circumference of the section's centroid
  expect(large.massG / small.massG).toBeGreaterThan(1.08);
  expect(large.massG / small.massG).toBeLessThan(60 / 53);
  expect(resizing[0].stays.join('; ')).toContain('1.50 mm round-brilliant');
});
