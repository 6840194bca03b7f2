import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { expect, it } from 'vitest';
import { plan } from '../../pipeline/cli/plan.ts';

it('says which takes are traced in parts', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'bandwright-plan-'));
  const alloys = ['yellow-18', 'yellow-14', 'yellow-9', 'rose-18', 'rose-14', 'rose-9', 'platinum-950'];
  const metals = alloys.flatMap((a) => alloys.flatMap((b) => alloys.map((c) => [a, b, c])));
  const lines = metals.map(
    ([a, b, c], i) =>
      `    - { label: M${i}, slug: M${i}, value: { near-shore: ${a}, tide: ${b}, far-shore: ${c} } }`,
  );
  const file = join(folder, 'many.yaml');
  writeFileSync(
    file,
    `catalogue: many
title: Many
workshop: Bench
template: ${resolve('templates/tideline.yaml')}
grid:
  size: [ISO 53]
  metal:
${lines.join('\n')}
origins: { diamond: natural }
shots: [front]
frame: [64 px, 64 px]
`,
  );
  let said = '';
  const out = { write: (text: string) => (said += text), terminal: false, columns: 100 };
  try {
    expect(await plan([file, '--out', join(folder, 'out')], { out, err: out })).toBe(0);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
  expect(said).toContain('1 with more colourways than one run holds: traced in 2 parts of at most 172');
  expect(said).toMatch(/front of \S+ +colourways 17[12] {2}part 1 of 2, about/);
  expect(said).toMatch(/front of \S+ +colourways 17[12] {2}part 2 of 2, about/);
});
