import { describe, expect, it } from 'vitest';
import { size } from '../../pipeline/cli/size.ts';

function run(...args: string[]) {
  const out: string[] = [];
  const err: string[] = [];
  const code = size(
    args,
    (line) => out.push(line),
    (line) => err.push(line),
  );
  return { code, out: out.join('\n'), err: err.join('\n') };
}

describe('bandwright size', () => {
  it('prints every system, aligned', () => {
    const { code, out } = run('US 7 1/2');
    expect(code).toBe(0);
    expect(out).toContain('inner circumference 55.70 mm, inner diameter 17.73 mm');
    for (const name of ['ISO 56', 'US 7½', 'UK O½', 'JP 15', 'CH 15¾']) expect(out).toContain(name);
    const [table, note] = out.split('\n\n').slice(1);
    const lines = table.split('\n');
    const column = lines[0].indexOf('used in');
    for (const line of lines) expect(line[column - 1]).toBe(' ');
    expect(note).toMatch(/^UK letters/);
  });

  it('takes the words of an unquoted size', () => {
    expect(run('UK', 'N', '1/2').out).toContain('UK N½');
  });

  it('gives facts as JSON', () => {
    const facts = JSON.parse(run('ISO 54', '--json').out);
    expect(facts.circumferenceMm).toBe(54);
    expect(facts.diameterMm).toBeCloseTo(54 / Math.PI, 12);
    expect(facts.systems).toHaveLength(5);
  });

  it('refuses what could be several sizes, nonsense and wrong usage with exit code 2', () => {
    const ambiguous = run('14');
    expect(ambiguous.code).toBe(2);
    expect(ambiguous.out).toBe('');
    expect(ambiguous.err).toContain('"JP 14"');
    expect(JSON.parse(run('14', '--json').err).problems[0].code).toBe('size-ambiguous');
    expect(run('huge').code).toBe(2);
    expect(run().code).toBe(2);
    expect(run('ISO 54', '--jsn').code).toBe(2);
  });
});
