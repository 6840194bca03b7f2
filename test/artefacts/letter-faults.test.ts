/** Letters of orders, from the cell to the solid: what can be cut, and what is refused where and with which measure. */
import { expect, it } from 'vitest';
import { proveLetters, unspoken } from '../../pipeline/artefacts/letter-faults.ts';
import type { Plan } from '../../pipeline/plan/plan.ts';
import { formatProblem, type Problem, ProblemError } from '../../pipeline/problem.ts';
import { planOf, problemsOf } from '../plan/workspace.ts';

const CONFIG = (more = '') => `
catalogue: letters
title: Letters
workshop: Trial bench
template: plain-court
grid: { size: [ISO 52] }
pairs: [{ name: duo, partner: { size: ISO 58 } }]
shots: [three-quarter, pair]
orders: orders.csv
sku: L-{size}
${more}`;
const TIDELINE = (more: string) =>
  CONFIG(more).replace('plain-court', 'tideline').replace('pairs:', 'origins: { diamond: natural }\npairs:');
const file = (letters: string, header = 'engraving-1,outside-1') =>
  `order,names,sku,${header}\n1,N,L-ISO52,${letters}\n`;

async function faults(config: string, orders: string): Promise<readonly Problem[]> {
  const { plan } = await planOf(config, { 'orders.csv': orders });
  return proveLetters(plan).catch((error: unknown) => {
    if (error instanceof ProblemError) return error.problems;
    throw error;
  });
}
const designOf = (plan: Plan, band = 0) => plan.proofs?.orders[0].bands[band].engraved?.design.engraving;

it('are laid over the band’s design: its place and depth, else the schema’s own', async () => {
  const { plan } = await planOf(
    CONFIG('overrides: { engraving: { inside: { text: model, height: 1.5 mm, at: 90 deg, font: italic } } }'),
    { 'orders.csv': file('theirs,outside words') },
  );
  expect(designOf(plan)).toMatchObject({
    inside: { text: 'theirs', heightMm: 1.5, atRad: Math.PI / 2, style: 'italic' },
    // on the only lane, as deep as the bench rule asks for outside
    outside: { text: 'outside words', heightMm: 1.4, depthMm: 0.2, atRad: 0, lane: 'band' },
  });
  // the catalogue's own band keeps its letters
  expect(Object.values(plan.shapes)[0].engraving?.inside?.text).toBe('model');
  expect(await proveLetters(plan)).toEqual([]);
});

it('go where a template says without a text, which cuts nothing by itself', async () => {
  const place =
    'overrides: { engraving: { inside: { height: 0.85 mm, across: 0.9 mm, depth: 0.12 mm, font: bold } } }';
  const { plan } = await planOf(TIDELINE(place), { 'orders.csv': file('here,') });
  expect(Object.values(plan.shapes).map((s) => s.engraving)).toEqual([undefined, undefined]);
  expect(designOf(plan)?.inside).toMatchObject({ heightMm: 0.85, centreMm: -1.6, text: 'here' });
  expect(await proveLetters(plan)).toEqual([]);
  const without = await planOf(TIDELINE(''), { 'orders.csv': file(',') });
  expect(Object.keys(plan.shapes)).toEqual(Object.keys(without.plan.shapes));
});

it.each([
  ['inside too long', file(`${'W'.repeat(40)},`), CONFIG(), 'text-too-long', 'engraving-1', 13],
  ['outside too long', file(`,${'W'.repeat(50)}`), CONFIG(), 'text-too-long', 'outside-1', 14],
  ['a glyph lacking', file('Ąऄ,'), CONFIG(), 'missing-glyphs', 'engraving-1', 13],
  ['a seat reached', file('here,'), TIDELINE(''), 'text-in-the-way', 'engraving-1', 13],
  [
    'strokes too thin',
    file('here,'),
    CONFIG('overrides: { engraving: { inside: { height: 0.4 mm } } }'),
    'stroke-too-thin',
    'engraving-1',
    13,
  ],
  [
    'no room across',
    file('here,'),
    CONFIG('overrides: { engraving: { inside: { height: 5 mm } } }'),
    'text-in-the-way',
    'engraving-1',
    13,
  ],
  [
    'metal too thin for the bench',
    file(',here'),
    CONFIG(
      'overrides: { thickness: 1.4 mm, engraving: { outside: { lane: band, depth: 0.95 mm, walls: 0 deg } } }',
    ),
    'engraving-wall',
    'outside-1',
    14,
  ],
])('%s is refused at its cell, with the measure', async (_, orders, config, code, column, at) => {
  const [problem, ...more] = (await faults(config, orders)).filter(({ severity }) => severity === 'error');
  expect(more).toEqual([]);
  expect(problem).toMatchObject({ code, path: `orders.${column}`, place: { line: 2, column: at } });
  expect(problem.received).toMatch(code === 'missing-glyphs' ? /^U\+0904$/ : /\d mm/);
});

it('that the bench would not forbid but warns of are warnings', async () => {
  const thin = CONFIG('overrides: { engraving: { inside: { height: 0.8 mm } } }');
  expect(await faults(thin, file('here,'))).toMatchObject([
    { code: 'engraving-stroke', severity: 'warning', place: { line: 2 } },
  ]);
  expect(await faults(`${thin}\nbench: { limits: { engraving-stroke: 0.05 mm } }`, file('here,'))).toEqual(
    [],
  );
});

it('that break a rule which the config waives are cut', async () => {
  const deep =
    CONFIG(`overrides: { thickness: 1.4 mm, engraving: { outside: { lane: band, depth: 0.95 mm, walls: 0 deg } } }
bench: { waive: { engraving-wall: { reason: Versuch } } }`);
  expect(await faults(deep, file(',here'))).toEqual([]);
});

it('that leave too little metal together, one over the other, are refused at the outer one’s cell', async () => {
  const both = (at: string) =>
    CONFIG(
      `overrides: { thickness: 1.4 mm, engraving: { inside: { depth: 0.5 mm, at: ${at}, walls: 0 deg }, outside: { lane: band, depth: 0.45 mm, walls: 0 deg } } }`,
    );
  const found = await faults(both('0 deg'), file('HIHI,HI'));
  expect(found).toMatchObject([
    { code: 'engraving-wall', severity: 'error', path: 'orders.outside-1', place: { line: 2, column: 18 } },
  ]);
  expect(await faults(both('180 deg'), file('HIHI,HI'))).toEqual([]);
});

it('without a place outside are refused where several lanes could take them', async () => {
  const [problem] = await problemsOf(TIDELINE(''), { 'orders.csv': file(',words') });
  expect(problem).toMatchObject({
    code: 'no-place-for-letters',
    received: '2: near-shore, far-shore',
    place: { line: 2, column: 14 },
  });
});

it('of a second band where one is ordered are refused, not lost', async () => {
  const [problem] = await problemsOf(CONFIG(), { 'orders.csv': file('words', 'engraving-2') });
  expect(problem).toMatchObject({ code: 'no-such-band', received: '5 characters' });
  const both = await planOf(CONFIG(), {
    'orders.csv': file('words', 'engraving-2').replace('L-ISO52', 'L-ISO52-duo'),
  });
  expect(designOf(both.plan, 1)?.inside?.text).toBe('words');
});

it('are never quoted: a letter is told by its place, a text by its length', async () => {
  const told = (await faults(TIDELINE(''), file('Quillabert,'))).map(formatProblem).join('\n');
  expect(told).toMatch(/received letter \d+ 0\.\d+ mm too far/);
  expect(told).not.toContain('Quillabert');
  expect(told).not.toMatch(/'[A-Za-z]'/);
  expect(unspoken("0.05 mm at 'b'", 'ab')).toBe('0.05 mm at letter 2');
  expect(unspoken("''' 0.1 mm too far", "a'")).toBe('letter 2 0.1 mm too far');
  expect(unspoken('"..."', '...')).toBe('3 characters');
});
