import { describe, expect, it } from 'vitest';
import type { OrderPlan } from '../../pipeline/plan/client-plan.ts';
import { formatProblem, type Problem } from '../../pipeline/problem.ts';
import { config, planOf, problemsOf } from './workspace.ts';

const CONFIG = config({
  orders: 'orders: orders.csv',
  pairs: 'pairs: [{ name: duo, when: { size: ISO 53 }, partner: { size: ISO 60, stones: false } }]',
  shots: 'shots: [three-quarter, pair]',
  sku: 'sku: T-{size}-{metal}-{stone}',
});
const HEAD =
  'order,names,sku,sku-1,size-1,metal-1,stone-1,size-2,stone-2,engraving-1,measured-1,notes,expires,language';

const read = async (csv: string | Uint8Array, text = CONFIG): Promise<OrderPlan[]> =>
  (await planOf(text, { 'orders.csv': csv })).plan.proofs?.orders ?? [];
const wrong = (csv: string | Uint8Array, text = CONFIG): Promise<readonly Problem[]> =>
  problemsOf(text, { 'orders.csv': csv });
/** A line of the file: cells by column, the others empty. */
const line = (cells: Record<string, string>) =>
  HEAD.split(',')
    .map((c) => `"${({ order: '1', names: 'N', ...cells }[c] ?? '').replaceAll('"', '""')}"`)
    .join(',');
const file = (...lines: Record<string, string>[]) => [HEAD, ...lines.map(line)].join('\r\n');

describe('orders', () => {
  it('name a pair, a band, or what the two bands are on each axis', async () => {
    const orders = await read(
      file(
        { order: '1', sku: 'T-ISO53-Y18-DIA-duo' },
        { order: '2', sku: 't-iso60-w18-rub' },
        {
          order: '3',
          'size-1': 'US 6 1/2',
          'metal-1': 'yellow-18',
          'stone-1': 'diamond',
          'size-2': 'ISO 60',
          'stone-2': 'none',
          'measured-1': 'gauge 5 mm wide',
        },
      ),
    );
    expect(orders.map((o) => [o.id, o.pair, o.bands.map((b) => b.variant.sku)])).toEqual([
      ['1', 'T-ISO53-Y18-DIA-duo', ['T-ISO53-Y18-DIA', 'T-ISO53-Y18-DIA-duo-partner']],
      ['2', undefined, ['T-ISO60-W18-RUB']],
      ['3', 'T-ISO53-Y18-DIA-duo', ['T-ISO53-Y18-DIA', 'T-ISO53-Y18-DIA-duo-partner']],
    ]);
    // 53.14 mm round: the band of ISO 53 serves it within a gauge's tolerance
    expect(orders[2].bands[0].size).toBe('US 6½');
    expect(orders[2].bands.map((b) => b.measured)).toEqual(['gauge 5 mm wide', undefined]);
  });

  it('may come from a spreadsheet: semicolons, a byte order mark, quotes, lines in cells, German dates', async () => {
    const csv = `\uFEFFOrder;Names;SKU;Notes;Expires\n7;"A ""Z"" B";T-ISO53-Y18-DIA;"one;\ntwo";1.3.2027\n;;;;\n`;
    expect(await read(csv)).toMatchObject([
      { id: '7', names: 'A "Z" B', notes: 'one;\ntwo', expires: '2027-03-01', line: 2 },
    ]);
  });

  it('that the catalogue does not make are errors that say what to add', async () => {
    const [size, metal, sku] = await wrong(
      file(
        { order: '1', 'size-1': 'ISO 57', 'metal-1': 'yellow-18', 'stone-1': 'ruby' },
        { order: '2', 'size-1': 'ISO 53', 'metal-1': 'platinum-950' },
        { order: '3', sku: 'T-ISO53-Y18-DIB' },
      ),
    );
    expect(formatProblem(size)).toContain('Add "ISO 57" to grid.size');
    // "1","N","","", are 14 characters
    expect(size.place).toMatchObject({ line: 2, column: 15 });
    expect(formatProblem(metal)).toContain('Add "platinum-950" to grid.metal');
    expect(formatProblem(sku)).toContain('Did you mean "T-ISO53-Y18-DIA"?');
  });

  it('must be clear: one variant, a size that the band has, numbers of their own', async () => {
    const problems = await wrong(
      file(
        { order: '1', 'size-1': 'ISO 53', 'stone-1': 'ruby' },
        { order: '2', 'sku-1': 'T-ISO53-Y18-DIA', 'size-1': 'UK Z' },
        { order: '2', sku: 'T-ISO53-Y18-DIA' },
        { order: '4' },
        { order: '5', sku: 'T-ISO53-Y18-DIA', expires: '2027-02-30', language: 'fr' },
      ),
    );
    expect(problems.map((p) => [p.code, p.place?.line])).toEqual([
      ['order-ambiguous', 2],
      ['size-conflict', 3],
      ['duplicate-order', 4],
      ['no-band', 5],
      ['wrong-date', 6],
      ['unknown-name', 6],
    ]);
    expect(problems[0].advice).toContain('"metal-1"');
    expect(problems[2].received).toBe('the one of line 3');
  });

  it('with names in scripts that the typeface has are taken, others are refused by code point', async () => {
    const names = 'Zoë Łukasz Nguyễn Ελένη Жанна नेहा';
    expect(await read(file({ sku: 'T-ISO53-Y18-DIA', names }))).toMatchObject([
      { names: names.normalize('NFC') },
    ]);
    const [problem] = await wrong(file({ sku: 'T-ISO53-Y18-DIA', names: '漢子 & B' }));
    expect(problem).toMatchObject({
      code: 'no-such-letters',
      received: expect.stringContaining('U+5B50, U+6F22'),
    });
    expect(formatProblem(problem)).not.toContain('漢');
  });

  it('never appear in problems: names, notes and engraving are told by their length', async () => {
    const secret = 'Secretname';
    const cases = [
      file({
        sku: 'nothing',
        names: secret,
        notes: secret,
        'engraving-1': secret,
        'measured-1': secret.repeat(9),
      }),
      file({
        sku: 'T-ISO53-Y18-DIA',
        names: secret.repeat(20),
        notes: secret.repeat(80),
        'engraving-1': secret.repeat(9),
      }),
      file({ sku: 'T-ISO53-Y18-DIA', names: `${secret}\u0007漢` }),
      `order,names\n1,${secret},too many\n`,
      `order,names\n1,"${secret}\n`,
      `${file({ names: secret })}\n${line({ names: secret })}`,
    ];
    for (const csv of cases) {
      const problems = await wrong(csv);
      expect(problems.length).toBeGreaterThan(0);
      expect(problems.map(formatProblem).join('\n')).not.toContain(secret);
    }
    expect((await wrong(cases[1])).map((p) => p.received)).toContain('200 characters');
  });

  it('files that are no orders are refused whole', async () => {
    const codes = async (csv: string | Uint8Array) => (await wrong(csv)).map((p) => p.code);
    expect(await codes(new Uint8Array([0x6f, 0xff, 0xfe]))).toEqual(['unreadable-orders']);
    expect(await codes('')).toEqual(['unreadable-orders']);
    expect(await codes(new Uint8Array(5 * 1024 * 1024))).toEqual(['unreadable-orders']);
    expect(await codes('order,names,size1\n')).toEqual(['unknown-column']);
    expect(await codes('order,order\n')).toEqual(['column-twice', 'missing-column']);
    expect((await problemsOf(CONFIG)).map((p) => p.code)).toEqual(['unreadable-orders']);
  });

  it('need a text in their language wherever the config gives texts by language', async () => {
    const text = `${CONFIG}proofs: { options: [{ en: A case }] }\n`;
    const csv = file({ sku: 'T-ISO53-Y18-DIA', language: 'de' });
    expect((await wrong(csv, text)).map((p) => [p.code, p.path, p.received])).toEqual([
      ['missing-translation', 'proofs.options[0]', 'none in "de"'],
    ]);
    expect(await read(file({ sku: 'T-ISO53-Y18-DIA' }), text)).toHaveLength(1);
  });
});
