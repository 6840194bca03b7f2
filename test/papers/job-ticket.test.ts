/** The paper that goes with an order through the workshop, as a function of what is known of its bands. */
import { HtmlValidate } from 'html-validate';
import { beforeAll, expect, it } from 'vitest';
import { bandFacts } from '../../pipeline/facts/band-facts.ts';
import { solidFacts } from '../../pipeline/facts/solid-facts.ts';
import { type JobTicket, jobTicket, type TicketBand } from '../../pipeline/papers/job-ticket.ts';
import type { Variant } from '../../pipeline/plan/plan.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { localeOf } from '../../pipeline/words/locale.ts';
import { expectStylesByHash } from '../page/content-policy.ts';
import { planOf } from '../plan/workspace.ts';

const CONFIG = `
catalogue: tickets
title: Tickets
workshop: Trial bench
template: plain-court
overrides: { chord-tolerance: 0.1 mm, engraving: { inside: { text: JONTE, height: 1.5 mm } } }
grid: { size: [ISO 52] }
shots: [three-quarter]
`;
let band: TicketBand;
beforeAll(async () => {
  const { plan } = await planOf(CONFIG);
  const [variant] = plan.variants as [Variant];
  const design = plan.shapes[variant.shape];
  const facts = bandFacts(variant, solidFacts(await buildShape(design)), plan);
  band = {
    facts,
    design,
    size: 'US 6',
    files: ['no-allowance_yellow-18-abc.stl', 'no-allowance_yellow-18-abc.3mf'],
    sheet: 'T-bench.pdf',
  };
});

const ticket = (bands: TicketBand[], more: Partial<JobTicket> = {}): JobTicket => ({
  ...{
    workshop: 'Trial bench',
    order: '<7>',
    names: 'Ilka & Jonte',
    bands,
    cautions: ['Wear gloves.'],
    own: {},
  },
  ...more,
});
/** Rows of a table by the head of its first column. */
function rowsOf(html: string, head: string): string[][] {
  const [, body] = new RegExp(`<thead><tr><th[^>]*>${head}<[\\s\\S]*?<tbody>([\\s\\S]*?)</tbody>`).exec(
    html,
  )!;
  return [...body.matchAll(/<tr>(.*?)<\/tr>/g)].map(([, row]) =>
    [...row.matchAll(/<td[^>]*>(.*?)<\/td>/g)].map(([, cell]) => cell),
  );
}

it('tells of both bands what is cut, cast and measured, and has a line to sign for every step that there is', async () => {
  const html = jobTicket(
    ticket([band, band], { delivery: '2027-07-30', notes: 'Call first.' }),
    localeOf('en'),
  );
  for (const said of [
    'Order &lt;7&gt;',
    'Band for Ilka',
    'Band for Jonte',
    'Ready by 30 July 2027',
    'Call first.',
  ])
    expect(html).toContain(said);
  for (const said of [
    '“JONTE”',
    'no-allowance_yellow-18-abc.stl, .3mf<',
    'T-bench.pdf',
    'US 6',
    'Wear gloves.',
  ])
    expect(html.split(said).length - 1, said).toBeGreaterThanOrEqual(said === 'Wear gloves.' ? 1 : 2);
  expect(html.match(/class="letters" d=/g)).toHaveLength(2);
  const [weight] = rowsOf(html, 'band');
  // ρ · V of the band's own facts, and nothing as cast where no file is made
  expect(weight).toEqual([
    'Band for Ilka',
    band.facts.metals[0].name,
    '–',
    '',
    band.facts.metals[0].massG.toFixed(2),
    '',
    '',
  ]);
  const steps = rowsOf(html, 'step');
  expect(steps.some(([what]) => what.startsWith('Letters cut'))).toBe(true);
  expect(steps.some(([what]) => what.startsWith('Stones set'))).toBe(false);
  expect(steps.every((row) => row.length === 3 && row[1] === '' && row[2] === '')).toBe(true);
  expect(html).toContain('No stones in this order.');
  expectStylesByHash(html);
  expect(html).not.toContain('<script');
  const report = await new HtmlValidate({ extends: ['html-validate:standard'] }).validateString(html);
  expect(report.results.flatMap(({ messages }) => messages.map((m) => `${m.ruleId}: ${m.message}`))).toEqual(
    [],
  );
});

it('counts stones out with the spares of the workshop', () => {
  const row = { ...{ name: 'lights', stone: 'diamond', label: 'lab-grown diamond', cut: 'round-brilliant' } };
  const set = { ...row, count: 30, diameterMm: 1.3, carats: 0.3 } as TicketBand['facts']['rows'][number];
  const stones = { ...band, facts: { ...band.facts, rows: [set], stoneCount: 30 } };
  const html = jobTicket(ticket([stones], { own: { spares: 0.05 } }), localeOf('de'));
  const [first] = rowsOf(html, 'Ring, Reihe');
  // 5 % of 30, rounded up to whole stones
  expect(first.slice(0, 4)).toEqual(['Der Ring, lights', 'lab-grown diamond, Ø 1,3', '30', '2']);
  expect(first.slice(4)).toEqual(['', '', '', '', '']);
  expect(html).toContain('Steine gefasst');
});
