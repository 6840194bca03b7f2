import { expect, it } from 'vitest';
import { problemsOf } from './workspace.ts';

const text = (lines: string) =>
  `catalogue: trial\ntitle: Trial\nworkshop: Trial bench\ntemplate: tideline\norigins: { diamond: natural }\nshots: [front]\n${lines}`;
const GRID = 'grid: { size: [ISO 54] }\n';

/** What slips from the hand, each told once: code, line and what to do. */
it.each([
  ['overrides: { section: { dome: "0,3 mm" } }\n', 'wrong-unit', 7, 'a point: "0.3 mm"'],
  ['overrides:\n  section:\n    dome: 0,3 mm\n', 'wrong-unit', 9, 'a point: "0.3 mm"'],
  ['overrides: { section: { dome: 0,3 mm } }\n', 'decimal-comma', 7, 'a point in place of the comma'],
  ['overrides: { seams: { near: { phase: "2,5 deg" } } }\n', 'wrong-unit', 7, 'a point: "2.5 deg"'],
  [
    'overrides:\n  section:\n    dome: 0.3 mm\n     edge: 0.2 mm\n',
    'yaml-block-as-implicit-key',
    9,
    'Line this up with the key above',
  ],
  [
    'overrides:\n  rows:\n    crest:\n      diameter: 1.4 mm\n    set-depth: 0.1 mm\n',
    'wrong-type',
    11,
    'indent this line under the key that it belongs to',
  ],
  [
    'overrides:\n  rows:\n    crest:\n      diameter: 1.4 mm\n set-depth: 0.1 mm\n',
    'yaml-bad-indent',
    11,
    'Line the keys of one mapping up',
  ],
])('%j is told in one message', async (lines, code, line, advice) => {
  const problems = await problemsOf(text(lines + GRID));
  expect(problems.map((p) => p.code)).toEqual([code]);
  expect(problems[0].place?.line).toBe(line);
  expect(problems[0].advice).toContain(advice);
});

it('a value that stands twice on an axis is told once', async () => {
  const problems = await problemsOf(text('grid: { size: [ISO 54], width: [5 mm, 5 mm] }\n'));
  expect(problems.map((p) => p.code)).toEqual(['axis-values-alike']);
});

it('a key that is needed and misspelt is told once', async () => {
  const problems = await problemsOf(text('gird: { size: [ISO 54] }\n'));
  expect(problems.map((p) => [p.code, p.advice])).toEqual([['unknown-key', 'Did you mean "grid"?']]);
  const missing = await problemsOf(text(''));
  expect(missing.map((p) => p.code)).toEqual(['missing-key']);
});
