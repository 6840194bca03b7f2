/** A German catalogue as a whole: its page, bench sheets and proofs hold no word that only the English tables have. */
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'puppeteer';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { benchSheet } from '../../pipeline/papers/bench-sheet.ts';
import type { Plan } from '../../pipeline/plan/plan.ts';
import { readCatalogue } from '../../pipeline/publish/catalogue.ts';
import { checkPlan } from '../../pipeline/run/check.ts';
import { makeCatalogue } from '../../pipeline/run/make.ts';
import { atPlace, pageBrowser } from '../page/page-browser.ts';
import { planOf } from '../plan/workspace.ts';
import { parseCsv } from '../publish/parse-csv.ts';
import { englishPieces, foundEnglish } from '../trade/english-words.ts';
import { greyTake } from './grey-take.ts';

const CONFIG = `
catalogue: deutsch
title: Gezeiten
language: de
market: AT
workshop: { name: Probewerkstatt, small-print: Nur zur Probe. }
template: tideline
overrides: { chord-tolerance: 0.1 mm, rows: { crest: { coverage: third } }, engraving: { inside: { text: für immer, height: 1 mm, depth: 0.12 mm } } }
origins: { diamond: laboratory-grown, sapphire-blue: natural }
treatments: { sapphire-blue: heated }
grid:
  size: [ISO 53]
  width: [5.5 mm]
  metal: [yellow-18, white-18-nickel, { value: { near-shore: white-18-rhodium, tide: rose-18, far-shore: white-18-rhodium }, slug: RW }]
  stone: [diamond, sapphire-blue]
skip: [{ metal: white-18-nickel, stone: sapphire-blue }, { metal: RW, stone: sapphire-blue }]
pairs: [{ name: duo, when: { metal: yellow-18, stone: diamond }, partner: { size: ISO 60, width: 6.25 mm, metal: platinum-950, stones: false } }]
bench: { limits: { girdle-gap: 0.5 mm }, waive: { girdle-gap: { reason: Versuch } } }
shots: [three-quarter, pair]
frame: 32 px
price: { currency: EUR, loss: 5 %, metals: { yellow-18: 80 /g, white-18-nickel: 70 /g, white-18-rhodium: 75 /g, rose-18: 78 /g, platinum-950: 40 /g }, stones: { diamond: { per-carat: 400 }, sapphire-blue: { per-carat: 300 } }, labour: { fixed: 200, per-stone: 5 }, tax: { name: MwSt., rate: 20 % }, round-to: 10 }
proofs: { options: [Ein Etui], expires: 2027-12-31 }
outputs: { images: [{ format: png, widths: [32] }], glb: false, sheets: true, swatches: true }
sku: G-{size}-{metal}-{stone}
`;
const PIECES = englishPieces();
/** The maker's own words: names of a template's parts, and how the page names what is not made of words. */
const OWN = /near-shore|far-shore|\btide\b|\bcrest\b|Source Sans/g;

let folder: string;
let plan: Plan;
let browser: Browser;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'bandwright-deutsch-'));
  ({ plan } = await planOf(CONFIG));
  const { failed } = await makeCatalogue(plan, {
    out: folder,
    openTracer: async () => ({ trace: greyTake, close: async () => {} }),
    report: () => {},
    signal: new AbortController().signal,
  });
  expect([...failed]).toEqual([]);
  browser = await pageBrowser();
});
afterAll(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true, force: true });
});

function expectGerman(text: string, what: string): void {
  // references are citations: addresses stay as they are
  const words = text.replace(/\S+\.\S+\/\S+/g, ' ').replace(OWN, ' ');
  expect(foundEnglish(words, PIECES), what).toEqual([]);
}

/** What stands in a file of HTML, its attributes for people and its drawings. */
function textOf(html: string): string {
  const bare = html.replace(/<style>[\s\S]*?<\/style>/g, '').replace(/data:[^"]*/g, '');
  const labels = [...bare.matchAll(/(?:alt|aria-label|title)="([^"]*)"/g)].map((m) => m[1]);
  return [bare.replace(/<[^>]+>/g, '\n'), ...labels].join('\n');
}

const seen = (page: Page) =>
  page.evaluate(() => {
    const body = document.body.cloneNode(true) as HTMLElement;
    for (const script of body.querySelectorAll('script')) script.remove();
    const labels = [...body.querySelectorAll('[aria-label], [alt], [title]')].flatMap((e) =>
      ['aria-label', 'alt', 'title'].map((name) => e.getAttribute(name)),
    );
    return [...body.querySelectorAll('*')]
      .flatMap((e) => [...e.childNodes].filter((n) => n.nodeType === 3).map((n) => n.textContent))
      .concat(labels)
      .join('\n');
  });

it('labels choices in German, with the stones’ origin and a decimal comma', () => {
  expect(Object.fromEntries(plan.axes.map((a) => [a.name, a.values.map((v) => v.label)]))).toEqual({
    size: ['ISO 53'],
    width: ['5,5 mm'],
    metal: ['Gelbgold 750', 'Nickel-Weißgold 750', 'Weißgold 750, rhodiniert & Roségold 750'],
    stone: ['Synthetischer Diamant', 'Erhitzter blauer Saphir'],
  });
  expect(plan.pairs[0].right.axes).toMatchObject({
    width: '6,25 mm',
    metal: 'Platin 950',
    stone: 'Ohne Steine',
  });
});

it.each(['', '#item=G-ISO53-Y18-LGD', '#item=G-ISO53-N18-LGD', '#item=G-ISO53-Y18-LGD-duo', '#compare'])(
  'the page at "%s"',
  (hash) => {
    const compared = '#compare=G-ISO53-Y18-LGD%2CG-ISO53-Y18-SAPBL';
    return atPlace(browser, join(folder, 'deutsch'), hash === '#compare' ? compared : hash, async (page) => {
      const text = await seen(page);
      expect(text).toContain('Gelbgold');
      expect(await page.$eval('html', (e) => e.lang)).toBe('de-AT');
      expectGerman(text, hash);
      // a pair is called one, by the looks of both bands where they differ
      if (hash.endsWith('duo'))
        expect(await page.$eval('dialog[open] h2', (e) => e.textContent)).toBe(
          'Paar: Gelbgold 750 · Synthetischer Diamant mit Platin 950 · Ohne Steine',
        );
    });
  },
);

it('bench sheets, with checks, cautions and marks', () => {
  const sheets = readdirSync(join(folder, 'deutsch-private/sheets')).filter((f) =>
    f.startsWith('G-ISO53-N18-LGD-'),
  );
  const text = textOf(readFileSync(join(folder, 'deutsch-private/sheets', sheets[0]), 'utf8'));
  for (const said of [
    'Innengravur',
    '„für immer“',
    'zugelassen: Versuch',
    'mindestens 0,50 mm',
    'Nickelabgabe',
    'Reihe „crest“ bei θ = ',
  ])
    expect(text).toContain(said);
  expect(text).not.toMatch(/\d\.\d/);
  expectGerman(text, 'sheet');
});

it('tables for people, captions, notes and alternative texts', async () => {
  const catalogue = await readCatalogue(join(folder, 'deutsch'));
  const told = JSON.stringify([
    catalogue?.items.map(({ title, bands, shots, cautions }) => [
      title,
      bands.map(({ sizes, metals, rows, checks, fits }) => [
        sizes.map((s) => s.label),
        metals.map((m) => m.name),
        rows.map((r) => r.label),
        checks.map((c) => [c.limit, c.measured, c.place, c.source]),
        fits?.map((f) => [f.fewer?.why, f.more?.why]),
      ]),
      shots.map((s) => [s.label, s.alt]),
      cautions,
    ]),
    catalogue?.swatches?.map((s) => s.singles.map((i) => i.caption)),
    catalogue?.cautions,
  ]);
  expectGerman(told, 'catalogue.json');
  expect(told).toContain('Grenze der Konfiguration; üblich: ');
  const prices = readFileSync(join(folder, 'deutsch-private/prices.csv'), 'utf8');
  expect(prices).toContain('mit 5 % Verlust');
  // the kind of an item is a code
  const cells = (file: string) =>
    readFileSync(join(folder, file), 'utf8').split('\r\n').slice(1).join('\n').replaceAll(',pair,', ',,');
  expectGerman(cells('deutsch/catalogue.csv'), 'catalogue.csv');
  expect(cells('deutsch/catalogue.csv')).toContain('inkl. 20 % MwSt.');
  const [head, ...colours] = parseCsv(readFileSync(join(folder, 'deutsch/swatches/colours.csv'), 'utf8'));
  expectGerman(colours.map((row) => row[head.indexOf('name')]).join('\n'), 'colours.csv');
  expectGerman(readFileSync(join(folder, 'deutsch-private/READ-ME-FIRST.txt'), 'utf8'), 'note');
});

it('proofs', () => {
  const proofs = join(folder, 'deutsch-private/proofs');
  const [file] = readdirSync(proofs).filter((f) => f.endsWith('.html'));
  const text = textOf(readFileSync(join(proofs, file), 'utf8'));
  expect(text).toContain('Entwurf zur Freigabe');
  expectGerman(text, 'proof');
});

it.each([
  ['half-channel', {}],
  ['grain-wave', {}],
  ['square-half', {}],
  ['beaded-vow', {}],
  ['ebb-and-flow', {}],
  ['faceted-rim', {}],
  ['hammered-inlay', {}],
])('bench sheets of %s', async (template) => {
  const { plan: other } = await planOf(`
catalogue: andere
title: Andere
language: de
workshop: Probewerkstatt
template: ${template}
overrides: { chord-tolerance: 0.1 mm }
origins: { diamond: natural, ruby: natural, sapphire-blue: natural }
treatments: { ruby: heated, sapphire-blue: heated }
grid: { size: [ISO 56] }
shots: [three-quarter]
outputs: { sheets: true }
sku: "A-{size}"
`);
  const { variants, cautions } = await checkPlan(other, () => true);
  const [{ facts }] = variants;
  const own = other.shapes[other.variants[0].shape];
  const html = benchSheet(facts!, own, { workshop: 'Probe', title: 'Andere', cautions, language: 'de' });
  const text = textOf(html);
  expect(text).toContain('Werkstattprüfungen');
  const names = [...own.lanes, ...own.rows, ...own.seams].map((x) => ('name' in x ? String(x.name) : ''));
  // a row of several sizes names its sets by them, as its stone list does
  const words = names
    .filter(Boolean)
    .reduce((left, name) => left.replace(new RegExp(`${name}(?: \\d\\.\\d+)?`, 'g'), ' '), text);
  expectGerman(words, template);
  // German is longer than English: drawings, measures, checks and every catalogue's cautions, and no fourth page
  const page = await browser.newPage();
  await page.setContent(html);
  const pdf = Buffer.from(await page.pdf({ preferCSSPageSize: true })).toString('latin1');
  await page.close();
  expect(pdf.match(/\/Type \/Page\b/g)?.length).toBeLessThanOrEqual(3);
  expect(words.replace(/„[^“]*“/g, '')).not.toMatch(/\d\.\d/);
});
