import { describe, expect, it, vi } from 'vitest';
import { Parser } from 'yaml';
import { readYaml } from '../../pipeline/plan/yaml-source.ts';
import { ProblemError } from '../../pipeline/problem.ts';

function problems(text: string) {
  try {
    readYaml(text, 'f.yaml');
    return [];
  } catch (error) {
    if (error instanceof ProblemError) return [...error.problems];
    throw error;
  }
}

describe('places', () => {
  const source = readYaml('a: 1\nb:\n  - x\n  - { c: two, d: "3" }\n', 'f.yaml');

  it('knows line and column of every value and key', () => {
    expect(source.raw).toEqual({ a: 1, b: ['x', { c: 'two', d: '3' }] });
    expect(source.placeOf(['a'])).toEqual({ file: 'f.yaml', line: 1, column: 4 });
    expect(source.placeOf(['b', 0])).toEqual({ file: 'f.yaml', line: 3, column: 5 });
    expect(source.placeOf(['b', 1, 'c'])).toEqual({ file: 'f.yaml', line: 4, column: 10 });
    expect(source.keyPlaceOf(['b', 1, 'd'])).toEqual({ file: 'f.yaml', line: 4, column: 15 });
    expect(source.placeOf(['nowhere'])).toBeUndefined();
  });

  it('follows aliases', () => {
    const aliased = readYaml('a: &x { n: 1 }\nb: *x\n', 'f.yaml');
    expect(aliased.raw).toEqual({ a: { n: 1 }, b: { n: 1 } });
    expect(aliased.placeOf(['b', 'n'])).toMatchObject({ line: 1 });
  });
});

describe('refusals', () => {
  it.each([
    ['duplicate keys', 'a: 1\nb: 2\na: 3\n', 'duplicate-key', 3],
    ['tabs', 'a:\n\tb: 1\n', 'yaml-tab-as-indent', 2],
    ['an open bracket', 'a: [1, 2\nb: 3\n', undefined, undefined],
    ['an unknown alias', 'a: *none\n', 'yaml-alias', 1],
    ['a tag', 'a: !secret 1\n', 'yaml-tag-resolve-failed', 1],
    ['two documents', 'a: 1\n---\nb: 2\n', 'yaml-multiple-docs', 2],
    ['a list as key', '[a, b]: 1\n', 'yaml-key', 1],
    ['a key that would change every object', '__proto__: { x: 1 }\n', 'yaml-key', 1],
  ])('%s', (_what, text, code, line) => {
    const found = problems(text);
    expect(found.length).toBeGreaterThan(0);
    if (code !== undefined) expect(found[0].code).toBe(code);
    if (line !== undefined) expect(found[0].place?.line).toBe(line);
    for (const p of found) expect(p.place?.file).toBe('f.yaml');
  });

  it('aliases that swell: ten to the ninth values out of ten lines', () => {
    const lines = ['l0: &l0 [x, x, x, x, x, x, x, x, x, x]'];
    for (let i = 1; i <= 9; i++)
      lines.push(
        `l${i}: &l${i} [${Array(10)
          .fill(`*l${i - 1}`)
          .join(', ')}]`,
      );
    const started = performance.now();
    expect(problems(lines.join('\n'))[0].code).toBe('yaml-too-large');
    expect(performance.now() - started).toBeLessThan(5000);
  });

  it('an alias inside its own anchor', () => {
    expect(problems('a: &a [*a]\n').map((p) => p.code)).toEqual(['yaml-too-large']);
  });

  // V8 aborts the process if the parser is let loose on these
  it.each([
    ['brackets', '['.repeat(20_000)],
    ['dashes', '- '.repeat(50_000)],
    ['question marks', '? '.repeat(20_000)],
    ['mappings', Array.from({ length: 400 }, (_, i) => `${' '.repeat(i)}a:`).join('\n')],
  ])('%s nested by the hundred', (_what, text) => {
    expect(problems(text).map((p) => p.code)).toEqual(['yaml-too-large']);
  });

  // what is refused while it is cut into tokens is never kept: 200,000 brackets took 390 MB
  it.each([
    ['brackets', '['.repeat(200_000)],
    ['dashes', '- '.repeat(200_000)],
    ['values', '- { a: [1, 2, 3] }\n'.repeat(40_000)],
  ])('too many %s are refused before they are parsed', (_what, text) => {
    const parsed = vi.spyOn(Parser.prototype, 'parse');
    expect(problems(text)).toMatchObject([{ code: 'yaml-too-large', place: { line: expect.any(Number) } }]);
    expect(parsed).not.toHaveBeenCalled();
    parsed.mockRestore();
  });

  it('files beyond a megabyte', () => {
    expect(problems('#'.repeat(1_000_001))[0].code).toBe('yaml-too-large');
  });

  it('every key that stands twice, each at its place', () => {
    expect(problems('a: 1\na: 2\nb: { c: 1, c: 2 }\n').map((p) => p.place?.line)).toEqual([2, 3]);
  });

  it('the latest of two anchors of one name is meant', () => {
    expect(readYaml('- &x 1\n- *x\n- &x 2\n- *x\n', 'f.yaml').raw).toEqual([1, 1, 2, 2]);
  });

  // time grows with the square where the library compares keys, or looks for anchors
  it.each([
    ['keys', (n: number) => Array.from({ length: n }, (_, i) => `k${i}: 1`).join('\n')],
    ['aliases', (n: number) => `a: &a 1\nb:\n${'  - *a\n'.repeat(n)}`],
    ['anchors', (n: number) => Array.from({ length: n }, (_, i) => `- &a${i} 1\n- *a${i}`).join('\n')],
  ])('15,000 %s are read in a moment', (_what, text) => {
    const began = process.cpuUsage();
    expect(problems(text(15_000))).toEqual([]);
    const { user } = process.cpuUsage(began);
    expect(user / 1e6).toBeLessThan(3);
  });
});
