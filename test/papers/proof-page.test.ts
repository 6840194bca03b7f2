/** The page that couples read, tick and sign, as a function of what is known of their bands. */
import { beforeAll, expect, it } from 'vitest';
import { proofBand } from '../../pipeline/artefacts/proof-facts.ts';
import { boreRadius } from '../../pipeline/band/lane.ts';
import { bandFacts } from '../../pipeline/facts/band-facts.ts';
import type { BandFacts } from '../../pipeline/facts/catalogue-schema.ts';
import { solidFacts } from '../../pipeline/facts/solid-facts.ts';
import { proofDigest } from '../../pipeline/papers/proof-digest.ts';
import { type Proof, proofPage } from '../../pipeline/papers/proof-page.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { Variant } from '../../pipeline/plan/plan.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { localeOf } from '../../pipeline/words/locale.ts';
import { planOf } from '../plan/workspace.ts';

const CONFIG = `
catalogue: pages
title: Pages
workshop: Trial bench
template: plain-court
overrides: { engraving: { inside: { text: HIH, height: 1.5 mm }, outside: { text: MODEL, lane: band, depth: 0.2 mm, at: 180 deg } } }
grid: { size: [ISO 52] }
shots: [three-quarter]
`;
const english = localeOf('en');

/** A band whose model carries letters. */
let design: ShapeDesign;
let facts: BandFacts;
let band: Proof['bands'][number];
beforeAll(async () => {
  const { plan } = await planOf(CONFIG);
  const [variant] = plan.variants as [Variant];
  design = plan.shapes[variant.shape];
  facts = bandFacts(variant, solidFacts(await buildShape(design)), plan);
  band = proofBand(variant, facts, plan, english);
});

const proofOf = (bands: Proof['bands'], more: Partial<Proof> = {}): Proof => ({
  ...{ title: 'Bands', letterhead: { name: 'Bench', address: [] }, pictures: [], bands },
  ...{ options: [], cautions: [], ...more },
});

/** Extent of a drawing's letters, mm of paper. */
function lettersOf(drawing: string): { width: number; height: number; middle: number } {
  const [, path] = /<path class="letters" d="([^"]+)"/.exec(drawing)!;
  const points = [...path.matchAll(/(-?[\d.]+) (-?[\d.]+)/g)].map(([, x, y]) => [Number(x), Number(y)]);
  const [xs, ys] = [0, 1].map((k) => points.map((p) => p[k]));
  const [left, right] = [Math.min(...xs), Math.max(...xs)];
  return { width: right - left, height: Math.max(...ys) - Math.min(...ys), middle: (left + right) / 2 };
}

it('shows the letters that the model carries where the order says none, to scale and in their place', () => {
  const page = proofPage(proofOf([band]), english, 'a4');
  expect(page).not.toContain('no engraving');
  expect(page).toMatch(
    /<dt>Engraving inside<\/dt><dd><span class="engraved">HIH<\/span><br>Engraving outside: <span class="engraved">MODEL</,
  );
  const [inside, outside] = band.letters;
  expect([inside.scale, outside.scale]).toEqual(['2:1', '2:1']);
  expect(page).toContain(inside.drawing);
  // capitals of flat letters are 1.5 mm high and stand in the middle of the bore's length: 4 mm of margin
  const drawn = lettersOf(inside.drawing);
  expect(drawn.height / 2).toBeCloseTo(1.5, 3);
  expect(drawn.width / 2).toBeCloseTo(facts.marks!.engravings[0].lengthMm, 2);
  expect(drawn.middle).toBeCloseTo(4 + 2 * Math.PI * boreRadius(design), 2);
  // letters at the back of the outside run over the drawing's end and go on at its beginning
  expect(outside.drawing.match(/class="letters"/g)).toHaveLength(2);
});

it('lets one of approval and changes be ticked, in every language', () => {
  for (const [language, one] of [
    ['en', 'Please choose one of the two'],
    ['de', 'Bitte wählen Sie eines von beiden'],
  ] as const) {
    const page = proofPage(proofOf([band], { options: ['A case'] }), localeOf(language), 'a4');
    const inputs = [...page.matchAll(/<input type="(\w+)"( name="decision")?>/g)].map((m) => m.slice(1));
    // HTML: of radio buttons of one name at most one is checked (WHATWG HTML, radio button group)
    expect(inputs.slice(0, 2)).toEqual([
      ['radio', ' name="decision"'],
      ['radio', ' name="decision"'],
    ]);
    expect(inputs.slice(2).every(([type, name]) => type === 'checkbox' && name === undefined)).toBe(true);
    expect(inputs).toHaveLength(2 + 3);
    expect(page).toContain(one);
  }
});

it('tells wearers what common practice is: stones, machinery, a yearly check', () => {
  const stones = { ...band, stones: ['39 × diamond'] };
  const told = (bands: Proof['bands'], language: 'en' | 'de') =>
    proofPage(proofOf(bands), localeOf(language), 'letter');
  for (const words of ['machinery', 'swallow', 'once a year', 'mild soap'])
    expect(told([stones], 'en')).toContain(words);
  for (const words of ['Maschinen', 'verschluckt', 'einmal im Jahr', 'milder Seife'])
    expect(told([stones], 'de')).toContain(words);
  expect(told([band], 'en')).toContain('machinery');
  expect(told([band], 'en')).not.toContain('swallow');
});

it('calls bands by the two names, else by their order', () => {
  const headings = (names?: string) =>
    [
      ...proofPage(proofOf([band, band], names ? { names } : {}), english, 'a4').matchAll(
        /<section class="band"><h2>([^<]+)/g,
      ),
    ].map(([, heading]) => heading);
  expect(headings('Ilka & Jonte')).toEqual(['Band for Ilka', 'Band for Jonte']);
  expect(headings('Mr and Mrs Vale')).toEqual(['First band', 'Second band']);
  expect(headings()).toEqual(['First band', 'Second band']);
});

it('says how each size was measured, where the order does, and voids a reply where that changes', () => {
  const measured = { ...band, measured: 'gauge 5 mm wide, <3 May>' };
  const html = proofPage(proofOf([measured, band]), english, 'a4');
  expect(html.match(/measured: gauge 5 mm wide, &lt;3 May&gt;/g)).toHaveLength(1);
  const digest = (first: Proof['bands'][number]) => proofDigest(proofOf([first]), [], 'en');
  expect(digest(measured)).not.toBe(digest(band));
});

it('tells a couple where letters stand in words', () => {
  expect(band.letters[0].drawing).toContain('>opposite the top<');
  expect(proofPage(proofOf([band]), english, 'a4')).not.toContain('θ');
});

it('says of pictures without the order’s letters that they are', () => {
  const pictures = [{ data: new Uint8Array(1), width: 1, height: 1, alt: '' }];
  const note = 'The picture was made without your engraving';
  expect(proofPage(proofOf([band], { pictures, otherLetters: true }), english, 'a4')).toContain(note);
  expect(proofPage(proofOf([band], { pictures }), english, 'a4')).not.toContain(note);
});

it('lays a line of the grid for every fact, so that none stands on another', () => {
  const html = proofPage(proofOf([band]), localeOf('en'), 'a4');
  const lines = Number(html.match(/\.band \{ grid-row: span (\d+)/)?.[1]);
  // a heading and the facts
  expect(lines).toBe(1 + (html.match(/class="fact"/g)?.length ?? 0));
});
