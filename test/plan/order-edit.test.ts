import fc from 'fast-check';
import Papa from 'papaparse';
import { describe, expect, it } from 'vitest';
import { editOrders } from '../../pipeline/plan/order-edit.ts';
import { readOrderFile } from '../../pipeline/plan/order-file.ts';
import { isRefused } from '../../pipeline/problem.ts';

const FILE = '/bench/orders.csv';
const edited = (text: string, change: Parameters<typeof editOrders>[2]) => {
  const made = editOrders(text, FILE, change);
  if (isRefused(made)) throw new Error(JSON.stringify(made.problems));
  return made;
};

describe('an order in its file', () => {
  it('begins a file of its own', () => {
    const cells = { order: 'N-1', names: 'Ida & Jo', sku: 'ONE', 'engraving-1': 'today, always', notes: '' };
    const { text, line } = edited('', { cells });
    expect(text).toBe('order,names,sku,engraving-1\nN-1,Ida & Jo,ONE,"today, always"\n');
    expect(line).toBe(2);
  });

  it('changes alone: separator, quotes, line ends, byte order mark and empty lines of all others stay', () => {
    const text = '\ufeffOrder;names;notes\r\n"A 1"; Ida ;"two\r\nlines; ""so"""\r\n\r\nB;Jo;\r\nC;Kim;plain';
    expect(edited(text, { line: 5, cells: { names: 'Jo & Lou', notes: 'a;b' } }).text).toBe(
      text.replace('B;Jo;', 'B;Jo & Lou;"a;b"'),
    );
    expect(edited(text, { line: 2, cells: { names: 'Ida' } }).text).toBe(text);
    expect(edited(text, { line: 2 }).text).toBe('\ufeffOrder;names;notes\r\n\r\nB;Jo;\r\nC;Kim;plain');
    expect(edited(text, { cells: { order: 'D', names: 'Lee' } }).text).toBe(`${text}\r\nD;Lee;\r\n`);
    // a column that the file lacks goes behind the last one, in every line
    expect(edited(text, { line: 6, cells: { sku: 'X' } }).text).toBe(
      '\ufeffOrder;names;notes;sku\r\n"A 1"; Ida ;"two\r\nlines; ""so""";\r\n\r\nB;Jo;;\r\nC;Kim;plain;X',
    );
  });

  it('is refused where it would be a formula, and in a file that is none', () => {
    const refused = (text: string, cells: Record<string, string>) => {
      const made = editOrders(text, FILE, { cells });
      return isRefused(made) && made.problems[0].received;
    };
    expect(refused('', { order: '1', names: '=HYPERLINK("x")' })).toBe('one that begins with "="');
    expect(refused('order,names\n"1,2\n', { order: '1' })).toMatch(/no CSV/);
    expect(editOrders('order,names\n1,2\n', FILE, { line: 3, cells: {} })).toHaveProperty('problems');
  });

  it('reads back as it was meant, by another reader too (Papa Parse), whatever its cells hold', () => {
    const cell = fc.string({ maxLength: 12, unit: fc.constantFrom(...'ab ,;"\n\té') });
    const step = fc.record({ order: cell, names: cell, notes: cell, at: fc.nat(5), goes: fc.boolean() });
    fc.assert(
      fc.property(fc.array(step, { maxLength: 6 }), fc.constantFrom(',', ';', '\t'), (steps, separator) => {
        let text = `${['order', 'names', 'notes'].join(separator)}\n`;
        for (const { at, goes, ...cells } of steps) {
          const reading = readOrderFile(Buffer.from(text), FILE);
          const line = 'records' in reading ? reading.records[at]?.line : undefined;
          const made = editOrders(
            text,
            FILE,
            line && goes ? { line } : { line, cells: { ...cells, order: `n${cells.order}` } },
          );
          if (!isRefused(made)) text = made.text;
        }
        const reading = readOrderFile(Buffer.from(text), FILE);
        if ('fault' in reading) throw new Error(reading.fault);
        const { data } = Papa.parse<string[]>(text, { delimiter: separator, skipEmptyLines: true });
        const others = data.slice(1).map((record) => record.map((c) => c.trim()));
        expect(reading.records.map(({ cells }) => Object.values(cells))).toEqual(others);
      }),
      { numRuns: 60 },
    );
  });
});
