import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { editYaml, type YamlValue } from '../../pipeline/plan/yaml-edit.ts';
import { type FieldPath, readYaml } from '../../pipeline/plan/yaml-source.ts';
import { isRefused } from '../../pipeline/problem.ts';

const edit = (text: string, path: FieldPath, value: YamlValue): string => {
  const made = editYaml(text, 'a.yaml', path, value);
  if (isRefused(made)) throw new Error(made.problems[0].received);
  return made.text;
};

/** Paths of all single values. */
function leaves(raw: unknown, path: FieldPath = []): FieldPath[] {
  if (typeof raw !== 'object' || raw === null) return [path];
  const entries: [string | number, unknown][] = Array.isArray(raw) ? [...raw.entries()] : Object.entries(raw);
  return entries.flatMap(([key, value]) => leaves(value, [...path, key]));
}

const TEXTS = [
  'templates/tideline.yaml',
  'templates/vow-line.yaml',
  'configs/demo.yaml',
  'configs/couples.yaml',
].map((file) => readFileSync(file, 'utf8'));

describe('one value in a YAML text', () => {
  it('keeps comments, quotes, anchors nobody repeats, and the form of its mapping', () => {
    const text = `# head\nwidth: "5 mm"   # wide\nseams:\n  a: { kind: wave, at: 50 % - 1.35 mm } # flow\nthickness: &t 1.9 mm\n`;
    expect(edit(text, ['width'], '4.5 mm')).toBe(text.replace('"5 mm"', '"4.5 mm"'));
    expect(edit(text, ['seams', 'a', 'at'], '40 %')).toBe(text.replace('50 % - 1.35 mm', '40 %'));
    expect(edit(text, ['thickness'], 2)).toBe(text.replace('1.9 mm', '2'));
  });

  it('adds what is missing as its neighbours are written', () => {
    const flow = 'seams:\n  a: { kind: wave, at: 2 }\nrows: {}\n';
    expect(edit(flow, ['seams', 'a', 'sharpness'], '20 %')).toBe(
      flow.replace('at: 2 }', 'at: 2, sharpness: 20 % }'),
    );
    expect(edit(flow, ['rows', 'b', 'hole'], 0.5)).toBe(flow.replace('{}', '{ b: { hole: 0.5 } }'));
    const block = 'rows:\n    b:\n        hole: 0.5   # here\n\n# foot\n';
    expect(edit(block, ['rows', 'b', 'floor'], '0.3 mm')).toBe(
      'rows:\n    b:\n        hole: 0.5   # here\n        floor: 0.3 mm\n\n# foot\n',
    );
    expect(edit('template: x\r\n', ['overrides', 'rows', 'b', 'hole'], 0.5)).toBe(
      'template: x\r\noverrides:\r\n  rows:\r\n    b:\r\n      hole: 0.5\r\n',
    );
    expect(edit('a: 1', ['b'], 2)).toBe('a: 1\nb: 2\n');
    expect(edit('over:\nb: 1\n', ['over', 'width'], 3)).toBe('over:\n  width: 3\nb: 1\n');
    expect(edit('list:\n  - size: 1\n    set:\n', ['list', 0, 'set', 'width'], 3)).toBe(
      'list:\n  - size: 1\n    set:\n      width: 3\n',
    );
  });

  it('quotes what would mean something else', () => {
    expect(edit('a: x\n', ['a'], 'true')).toBe('a: "true"\n');
    expect(edit('a: x\n', ['a'], 'b: c # d')).toBe('a: "b: c # d"\n');
    expect(edit("a: 'x'\n", ['a'], "it's")).toBe("a: 'it''s'\n");
  });

  it('refuses aliases and what aliases repeat', () => {
    for (const path of [['a'], ['b']]) {
      const made = editYaml('a: &one 1 mm\nb: *one\n', 'a.yaml', path, '2 mm');
      expect(isRefused(made) && made.problems[0].code).toBe('cannot-edit');
    }
    const within = editYaml('a: &one { c: 1 }\nb: *one\n', 'a.yaml', ['b', 'c'], 2);
    expect(isRefused(within) && within.problems[0]).toMatchObject({
      path: 'b.c',
      place: { line: 2, column: 4 },
    });
  });

  it('changes one line only and nothing but the value, wherever that stands', () => {
    const value = fc.oneof(
      fc.double({ min: 0, max: 9, noNaN: true }),
      fc.constantFrom('0.3 mm', '25 %', 'two words', 'yes: no', "it's", '50 % + 1 mm'),
    );
    fc.assert(
      fc.property(fc.constantFrom(...TEXTS), fc.nat(), value, (text, pick, to) => {
        const raw = readYaml(text, 'a').raw;
        const all = leaves(raw);
        const path = all[pick % all.length];
        const made = editYaml(text, 'a', path, to);
        if (isRefused(made)) throw new Error(made.problems[0].received);
        const [before, after] = [text, made.text].map((t) => t.split('\n'));
        // a folded text of several lines becomes one
        const folded = after.length < before.length;
        if (!folded) {
          const different = after.flatMap((line, i) => (line === before[i] ? [] : [i + 1]));
          expect(different.length).toBeLessThanOrEqual(1);
          if (different.length > 0) expect(different).toEqual([made.line]);
        }
        const paths = leaves(readYaml(made.text, 'a').raw);
        expect(paths).toEqual(all);
        // and back again
        const back = all.length > 0 && typeof valueAt(raw, path) !== 'object';
        if (back && !folded) {
          const undone = edit(made.text, path, valueAt(raw, path) as YamlValue);
          expect(readYaml(undone, 'a').raw).toEqual(raw);
        }
      }),
      { numRuns: 60 },
    );
  });
});

function valueAt(raw: unknown, path: FieldPath): unknown {
  return path.reduce<unknown>((value, key) => (value as Record<string | number, unknown>)?.[key], raw);
}
