import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { AskedEdit, EditAnswer } from '../../pipeline/look/contract.ts';
import { drawingOf } from '../../pipeline/look/drawing.ts';
import { Edits } from '../../pipeline/look/edits.ts';
import { fieldsOf } from '../../pipeline/look/fields.ts';
import { revisionOf } from '../../pipeline/look/revision.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { localeOf } from '../../pipeline/words/locale.ts';

const TEMPLATE = `# a band of one's own
title: Trial
section: { name: court, dome: 0.3 mm } # soft
width: 5 mm
thickness: 2 mm
lanes: { a: { alloy: yellow-18 }, b: { alloy: white-18 } }
seams:
  mid: { kind: wave, at: 50 %, amplitude: 0.4 mm, waves: 4 }
rows:
  spark:
    lane: a
    diameter: 1.1   # small
    coverage: [-20 deg, 0 deg, 20 deg]
    setting: none
`;
const CONFIG = `catalogue: trial
title: Trial
workshop: Trial bench
template: ./own.yaml
origins: { diamond: natural }
overrides: { thickness: 2.1 mm }
grid: { size: [ISO 55] }
shots: [three-quarter]
`;

const LOCALE = localeOf('en');
let folder = '';
const file = (name: string) => path.join(folder, name);
const textOf = (name: string) => readFile(file(name), 'utf8');

beforeEach(async () => {
  folder = await mkdtemp(path.join(tmpdir(), 'edits-'));
  await writeFile(file('config.yaml'), CONFIG);
  await writeFile(file('own.yaml'), TEMPLATE);
});
afterEach(() => rm(folder, { recursive: true }));

async function look() {
  const { plan, sources } = await readPlan(file('config.yaml'));
  const [sku] = sources.keys();
  const source = sources.get(sku)!;
  return { sku, source, files: await revisions(), design: plan.shapes[plan.variants[0].shape] };
}

async function ask(edits: Edits, change: AskedEdit): Promise<EditAnswer> {
  const { sku, files, source } = await look();
  return edits.apply({ sku, files, change }, { source, locale: LOCALE });
}

const field = (id: string, text: string): AskedEdit => ({ kind: 'field', id, text });
const codes = (answer: EditAnswer) => (answer.done ? [] : answer.problems.map(({ code }) => code));

describe('edits of a band', () => {
  it('of what a template lets be chosen keep its limits, however they are written', async () => {
    const chosen = `let:
  swing: 0.4 mm in 0.2 mm .. 0.6 mm
  turns: { value: 4, from: 3, to: 6 }
  edge: 0.1 mm .. 0.3 mm
`;
    await writeFile(
      file('own.yaml'),
      `${TEMPLATE.replace('0.4 mm, waves: 4', 'swing, waves: turns')}${chosen}`,
    );
    await writeFile(file('config.yaml'), `${CONFIG}`.replace('thickness: 2.1 mm', 'let: { edge: 0.15 mm }'));
    const fields = fieldsOf((await look()).source, LOCALE);
    expect(fields.find(({ id }) => id === 'let.swing')).toMatchObject({
      label: 'Swing',
      group: 'To choose',
      text: '0.4 mm',
      unit: 'mm',
      least: 0.2,
      most: 0.6,
    });
    const edits = new Edits({ readOnly: false });
    for (const [name, text] of [
      ['swing', '0.5'],
      ['turns', '5'],
      ['edge', '0.2'],
    ])
      expect((await ask(edits, field(`let.${name}`, text))).done).toBe(true);
    const own = await textOf('own.yaml');
    expect(own).toContain('swing: 0.5 mm in 0.2 mm .. 0.6 mm\n');
    expect(own).toContain('turns: { value: 5, from: 3, to: 6 }\n');
    expect(own).toContain('edge: 0.1 mm .. 0.3 mm\n');
    expect(await textOf('config.yaml')).toContain('let: { edge: 0.2 mm }');
    expect((await look()).design.seams[0]).toMatchObject({ amplitudeMm: 0.5, periods: 5 });
  });

  it('are written where the value stands, in the form that it has there', async () => {
    const edits = new Edits({ readOnly: false });
    expect(await ask(edits, field('thickness', '2,3'))).toMatchObject({
      done: true,
      origin: { file: file('config.yaml'), line: 6 },
    });
    expect(await textOf('config.yaml')).toBe(CONFIG.replace('2.1 mm', '2.3 mm'));
    await ask(edits, field('rows.spark.diameter', '1.3 mm'));
    await ask(edits, field('lanes.b.soften', '0.1'));
    expect(await textOf('own.yaml')).toBe(
      TEMPLATE.replace('diameter: 1.1 ', 'diameter: 1.3 ').replace(
        'b: { alloy: white-18 }',
        'b: { alloy: white-18, soften: 0.1 mm }',
      ),
    );
  });

  it('of handles move what they hold', async () => {
    const edits = new Edits({ readOnly: false });
    const { design, source } = await look();
    const { handles, width } = drawingOf(design, [], LOCALE, source);
    const ids = handles.map(({ id }) => id);
    expect(ids).toEqual([
      'width',
      'seams.mid.at',
      'seams.mid.swing',
      'rows.spark.diameter',
      'rows.spark.coverage.0',
      'rows.spark.coverage.1',
      'rows.spark.coverage.2',
    ]);
    const move = async (id: string, x: number, y: number) => {
      const now = await look();
      const handle = drawingOf(now.design, [], LOCALE, now.source).handles.find((h) => h.id === id)!;
      await ask(edits, { kind: 'handle', id, x: handle.x + x, y: handle.y + y });
    };
    await move('seams.mid.at', 0, 0.5);
    await move('seams.mid.swing', 0, 0.2);
    await move('rows.spark.coverage.2', width / 36, 0);
    await move('width', 0, 0.25);
    expect(await textOf('own.yaml')).toBe(
      TEMPLATE.replace('at: 50 %', 'at: 60 %')
        .replace('amplitude: 0.4 mm', 'amplitude: 0.6 mm')
        .replace('20 deg]', '30 deg]')
        .replace('width: 5 mm', 'width: 5.5 mm'),
    );
    // a quarter of a wave further round: the wave's crest follows the hand
    await move('seams.mid.swing', width / 16, 0);
    expect(await textOf('own.yaml')).toMatch(/phase: -90 deg/);
  });

  it('of a seam’s ends and turn, of sizes that fall and of letters, move what they hold', async () => {
    const edits = new Edits({ readOnly: false });
    await writeFile(
      file('own.yaml'),
      TEMPLATE.replace(/mid: .*/, 'mid: { kind: drift, from: 45 %, to: 55 %, turn: 20 deg }')
        .replace(
          'coverage: [-20 deg, 0 deg, 20 deg]',
          'coverage: 90 deg\n    graduate: { to: 0.9 mm, step: 0.05 mm }',
        )
        .concat('engraving: { outside: { text: AB, lane: b, height: 1.2 mm, at: 180 deg } }\n'),
    );
    const drawn = async () => {
      const { design, source } = await look();
      return drawingOf(design, [], LOCALE, source);
    };
    const { width } = await drawn();
    const deg = width / 360;
    const move = async (id: string, x: number, y: number) => {
      const handle = (await drawn()).handles.find((h) => h.id === id)!;
      expect(await ask(edits, { kind: 'handle', id, x: handle.x + x, y: handle.y + y })).toMatchObject({
        done: true,
      });
      return handle;
    };
    await move('seams.mid.from', 0, -0.25);
    await move('seams.mid.to', 0, 0.1);
    await move('seams.mid.turn', 15 * deg, 0);
    await move('rows.spark.graduate', 0, 0.05);
    await move('rows.spark.coverage', 10 * deg, 0);
    const letters = await move('engraving.outside', -12 * deg, 0.1);
    const text = await textOf('own.yaml');
    expect(text).toContain('mid: { kind: drift, from: 40 %, to: 57 %, turn: 35 deg }');
    expect(text).toContain('graduate: { to: 1 mm, step: 0.05 mm }');
    expect(text).toContain('coverage: 110 deg');
    expect(text).toContain('at: 168 deg');
    const moved = (await drawn()).handles.find(({ id }) => id === 'engraving.outside')!;
    expect(moved.y).toBeCloseTo(letters.y + 0.1, 2);
  });

  it.each([
    ['second', 1],
    ['first', -1],
  ] as const)('of a peak towards the %s edge move its foot and its tip', async (towards, aside) => {
    const edits = new Edits({ readOnly: false });
    const seam = `mid: { kind: peak, at: 60 %, height: 0.8 mm, towards: ${towards}, turn: 170 deg }`;
    await writeFile(file('own.yaml'), TEMPLATE.replace(/mid: .*/, seam));
    const drawn = async () => {
      const { design, source } = await look();
      return drawingOf(design, [], LOCALE, source);
    };
    const deg = (await drawn()).width / 360;
    const handle = async (key: string) => (await drawn()).handles.find((h) => h.id === `seams.mid.${key}`)!;
    const move = async (key: string, x: number, y: number) => {
      const at = await handle(key);
      const change: AskedEdit = { kind: 'handle', id: at.id, x: at.x + x, y: at.y + y };
      expect(await ask(edits, change)).toMatchObject({ done: true });
    };
    const [foot, tip] = [await handle('at'), await handle('height')];
    // level opposite the tip, and as much beside that as its height says
    expect(tip.y - foot.y).toBeCloseTo(aside * 0.8, 2);
    expect(Math.abs(tip.x - foot.x)).toBeCloseTo(180 * deg, 2);
    await move('at', 0, -0.25);
    await move('height', 0, aside * 0.2);
    expect(await textOf('own.yaml')).toContain(seam.replace('60 %', '55 %').replace('0.8 mm', '1 mm'));
    expect((await handle('height')).y).toBeCloseTo(tip.y - 0.25 + aside * 0.2, 2);
    // a hand that hardly went aside turns nothing, and no peak points to the other edge
    await move('height', 0.1 * deg, -aside * 3);
    expect(await textOf('own.yaml')).toContain(seam.replace('60 %', '55 %').replace('0.8 mm', '0 mm'));
    await move('height', -30 * deg, 0);
    expect(await textOf('own.yaml')).toContain('turn: 140 deg');
    expect((await handle('height')).x).toBeCloseTo(tip.x - 30 * deg, 2);
  });

  describe.each([
    ['evenly', '{ kind: points, through: [40 %, 60 %, 50 %], turn: 10 deg }'],
    [
      'by angles of their own',
      '{ kind: points, through: [40 %, 60 %, 50 %], angles: [0 deg, 150 deg, 250 deg] }',
    ],
    [
      'again and again',
      '{ kind: points, through: [40 %, 60 %, 50 %], angles: [0 deg, 50 deg, 90 deg], repeat: 3 }',
    ],
  ])('of points that stand %s', (_, written) => {
    const drawn = async () => {
      const { design, source } = await look();
      return { ...drawingOf(design, [], LOCALE, source), design };
    };
    const point = async (k: number) =>
      (await drawn()).handles.find(({ id }) => id === `seams.mid.through.${k}`)!;
    const wave = '{ kind: wave, at: 50 %, amplitude: 0.4 mm, waves: 4 }';

    it('write what their handles are moved to, and stand there', async () => {
      const edits = new Edits({ readOnly: false });
      await writeFile(file('own.yaml'), TEMPLATE.replace(wave, written));
      const { width } = await drawn();
      const deg = width / 360;
      const [, second] = [await point(0), await point(1)];
      await ask(edits, { kind: 'handle', id: second.id, x: second.x + 6 * deg, y: second.y + 0.25 });
      expect(await textOf('own.yaml')).toContain('65 %');
      const moved = await point(1);
      expect(moved.y).toBeCloseTo(second.y + 0.25, 2);
      const own = written.includes('angles');
      expect(moved.x).toBeCloseTo(second.x + (own ? 6 * deg : 0), 1);
      // the first carries the others round with it, and its period again
      const first = await point(0);
      await ask(edits, { kind: 'handle', id: first.id, x: first.x + 4 * deg, y: first.y });
      expect((await point(0)).x).toBeCloseTo(first.x + 4 * deg, 1);
      expect((await point(1)).x).toBeCloseTo(moved.x + 4 * deg, 1);
      expect((await point(1)).y).toBeCloseTo(moved.y, 2);
    });
  });

  it('are refused beyond the schema, where the file changed underneath, and by a page that only looks', async () => {
    const edits = new Edits({ readOnly: false });
    expect(codes(await ask(edits, field('thickness', '60 mm')))).toEqual(['out-of-range']);
    expect(codes(await ask(edits, field('nothing.here', '1')))).toEqual(['unknown-field']);
    expect(codes(await ask(new Edits({ readOnly: true }), field('thickness', '2')))).toEqual(['read-only']);
    const { sku, files, source } = await look();
    await writeFile(file('config.yaml'), `${CONFIG}# mine\n`);
    const request = { sku, files, change: field('thickness', '2') };
    expect(codes(await edits.apply(request, { source, locale: LOCALE }))).toEqual(['file-changed']);
    expect(await textOf('config.yaml')).toBe(`${CONFIG}# mine\n`);
    expect(codes(await ask(edits, { kind: 'undo' }))).toEqual(['no-undo']);
  });

  it('are taken back only over the text that they left', async () => {
    const edits = new Edits({ readOnly: false });
    await ask(edits, field('thickness', '2.4'));
    const mine = (await textOf('config.yaml')).replace('Trial bench', 'My bench');
    await writeFile(file('config.yaml'), mine);
    expect(codes(await ask(edits, { kind: 'undo' }))).toEqual(['file-changed']);
    expect(await textOf('config.yaml')).toBe(mine);
  });

  it('come and go: the same bytes after any number of them, in both files', async () => {
    const { source } = await look();
    const fields = fieldsOf(source, LOCALE).filter(({ kind }) => kind === 'measure' || kind === 'choice');
    const step = fc.record({
      pick: fc.nat(fields.length - 1),
      at: fc.double({ min: 0.2, max: 0.8, noNaN: true }),
    });
    await fc.assert(
      fc.asyncProperty(fc.array(step, { minLength: 1, maxLength: 6 }), async (steps) => {
        const edits = new Edits({ readOnly: false });
        const texts = [[CONFIG, TEMPLATE].join()];
        for (const { pick, at } of steps) {
          const { id, choices, unit, least = 1, most = 4 } = fields[pick];
          const value = (least + at * (most - least)).toFixed(2);
          const text = choices
            ? choices[Math.floor(at * choices.length)].value
            : `${value} ${unit === 'mm or %' ? 'mm' : unit}`;
          const files = await revisions();
          const answer = await edits.apply(
            { sku: '', files, change: field(id, text) },
            { source, locale: LOCALE },
          );
          expect(answer).toMatchObject({ done: true });
          const now = [await textOf('config.yaml'), await textOf('own.yaml')].join();
          if (now !== texts.at(-1)) texts.push(now);
        }
        const go = async (change: AskedEdit) => {
          await edits.apply({ sku: '', files: [], change }, { source, locale: LOCALE });
          return [await textOf('config.yaml'), await textOf('own.yaml')].join();
        };
        for (const text of texts.slice(0, -1).reverse()) expect(await go({ kind: 'undo' })).toBe(text);
        for (const text of texts.slice(1)) expect(await go({ kind: 'redo' })).toBe(text);
        for (let i = 1; i < texts.length; i++) await go({ kind: 'undo' });
        expect([await textOf('config.yaml'), await textOf('own.yaml')]).toEqual([CONFIG, TEMPLATE]);
      }),
      { numRuns: 15 },
    );
  });
});

const revisions = () =>
  Promise.all(
    ['config.yaml', 'own.yaml'].map(async (name) => ({
      file: file(name),
      revision: revisionOf(await textOf(name)),
    })),
  );
