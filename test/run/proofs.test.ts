import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { RunEvent } from '../../pipeline/artefacts/events.ts';
import { jsonReport, textReport } from '../../pipeline/cli/progress.ts';
import { runNotice } from '../../pipeline/papers/run-notice.ts';
import { runReport } from '../../pipeline/papers/run-report.ts';
import { summaryText } from '../../pipeline/papers/run-summary.ts';
import { makeCatalogue } from '../../pipeline/run/make.ts';
import { recordOf } from '../../pipeline/run/run-log.ts';
import { createTracerSession, type TracerSession } from '../../pipeline/tracer/session.ts';
import type { Tracer } from '../../pipeline/tracer/tracer.ts';
import { hashOf } from '../../pipeline/words/html.ts';
import { expectStylesByHash } from '../page/content-policy.ts';
import { getDocument } from '../pdf-document.ts';
import { planOf } from '../plan/workspace.ts';
import { parseCsv } from '../publish/parse-csv.ts';
import { greyTake } from './grey-take.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-proofs-'));
let session: TracerSession;
beforeAll(async () => {
  session = await createTracerSession();
});
afterAll(async () => {
  await session.close();
  rmSync(folder, { recursive: true, force: true });
});

/** Grey films at once, and the real browser's print. */
const GREY: Tracer = {
  trace: greyTake,
  print: (html) => session.print!(html),
  close: async () => {},
};

const CONFIG = `
catalogue: couples
title: Couples
language: de
market: DE
workshop: { name: Test bench, address: [Teststraße 1], logo: logo.png, small-print: Nur zur Probe. }
template: plain-court
overrides: { chord-tolerance: 0.1 mm }
grid: { size: [ISO 52, ISO 58], metal: [yellow-18, { value: white-18-nickel, slug: W18N }] }
pairs: [{ name: duo, when: { size: ISO 52 }, partner: { size: ISO 58 } }]
shots: [three-quarter, pair]
frame: 32 px
price: { currency: EUR, metals: { yellow-18: 80 /g, white-18-nickel: 70 /g }, labour: { fixed: 200 }, tax: { name: { de: MwSt., en: VAT }, rate: 19 % }, round-to: 10 }
outputs: { images: [{ format: png, widths: [32] }], glb: false }
sku: C-{size}-{metal}
`;
const ORDERED = `${CONFIG}orders: orders.csv
proofs: { paper: [a4, letter], options: [{ de: "Ein Etui", en: "A case" }], expires: 2027-12-31, deposit: 25 %, terms: { de: "Anfertigung nach Ihrem Maß", en: "Made to your measures" } }
`;

/** Words that must stand in proofs alone. */
const SECRETS = ['Quillabert', 'Ößterwyn', 'Zephyrine', 'Vermächtniswort', 'AUSSENSPRUCH', 'geheimnotiz'];
const ORDERS = `order,names,sku,sku-1,sku-2,size-1,engraving-1,engraving-2,outside-1,notes,expires,delivery,language
=A1,"<b>Quillabert</b> & ""Ößterwyn""",C-ISO52-Y18-duo,,,,Vermächtniswort,+ für immer,,geheimnotiz,,2027-03-31,
B2,Zephyrine,,C-ISO58-Y18,C-ISO52-W18N,US 8 1/2,,,AUSSENSPRUCH,"=HYPERLINK(""x"")",2027-02-28,,en
`;

async function make(text: string, orders = ORDERS, only?: (sku: string) => boolean) {
  const logo = await sharp({ create: { width: 90, height: 30, channels: 4, background: '#0008' } })
    .png()
    .toBuffer();
  const { plan } = await planOf(text, { 'orders.csv': orders, 'logo.png': logo });
  // the logo is read again from the disk when the run begins
  plan.letterhead.logo = join(folder, 'logo.png');
  await sharp(logo).toFile(plan.letterhead.logo);
  let log = '';
  const out = { write: (t: string) => (log += t), terminal: true, columns: 200 };
  const [asText, asJson] = [textReport(out), jsonReport(out)];
  const events: RunEvent[] = [];
  const result = await makeCatalogue(plan, {
    out: folder,
    only,
    openTracer: async () => GREY,
    report: (event) => {
      events.push(event);
      asText(event);
      asJson(event);
    },
    signal: new AbortController().signal,
  });
  expect([...result.failed]).toEqual([]);
  log += tellings(events);
  return { result, events, log };
}

/** All that is told of a run afterwards. */
function tellings(events: readonly RunEvent[]): string {
  const record = recordOf(
    events.map((event, time) => ({ time, event })),
    {
      ...{ catalogue: 'couples', title: 'Couples', version: '0', started: 0, ended: events.length, exit: 1 },
      ...{ command: '', rerun: '', machine: [], peakMemory: 1 },
    },
  );
  return runReport(record) + summaryText(record, true) + JSON.stringify(runNotice(record));
}

const PROOFS = join(folder, 'couples-private/proofs');

async function pdfPages(file: string): Promise<{ text: string; width: number; height: number }[]> {
  const data = new Uint8Array(readFileSync(file));
  const pdf = await getDocument({ data, verbosity: 0 }).promise;
  // tagged, with a title and a language (PDF/UA-1, ISO 14289-1, 7.1 and 7.2)
  const { info } = (await pdf.getMetadata()) as { info: { Title?: string; Language?: string } };
  expect(await pdf.getMarkInfo()).toMatchObject({ Marked: true });
  expect(info.Title).toMatch(/Entwurf zur Freigabe|Design proof/);
  expect(info.Language).toMatch(/^(?:de|en)-/);
  const roles = JSON.stringify(await (await pdf.getPage(1)).getStructTree());
  for (const role of ['H1', 'H2', 'Figure']) expect(roles).toContain(`"role":"${role}"`);
  const pages = [];
  for (let i = 1; i <= pdf.numPages; i++) {
    const page = await pdf.getPage(i);
    const { items } = await page.getTextContent();
    const { width, height } = page.getViewport({ scale: 1 });
    const text = items.map((t) => ('str' in t ? t.str : '')).join(' ');
    pages.push({ text: text.replace(/\s+/g, ' '), width, height });
  }
  await pdf.destroy();
  return pages;
}

/** Every file below a folder. */
function filesBelow(root: string): string[] {
  return readdirSync(root, { recursive: true, encoding: 'utf8' })
    .map((name) => join(root, name))
    .filter((path) => statSync(path).isFile());
}

describe('proofs', () => {
  it('are made for orders and pairs, hold names, and nothing else does', async () => {
    const { log, events } = await make(ORDERED);
    const files = readdirSync(PROOFS);
    expect(files.filter((f) => /-(?:a4|letter)\.pdf$/.test(f))).toHaveLength(2 * (2 + 2));
    const pages = files.filter((f) => /^(?:order|pair)-[^.]+\.html$/.test(f) && !f.includes('-bench-'));
    expect(pages).toHaveLength(2 + 2);
    expect(events.filter((e) => e.event === 'proof')).toHaveLength(12);

    const ofOrder = pages.filter((f) => f.startsWith('order-'));
    const held = ofOrder.map((f) => readFileSync(join(PROOFS, f), 'utf8')).join('');
    for (const secret of SECRETS) expect(held).toContain(secret);
    for (const path of [...filesBelow(folder)]) {
      const name = path.slice(folder.length);
      const inside = readFileSync(path).toString('utf8');
      for (const secret of SECRETS) {
        expect(name).not.toContain(secret);
        if (!/proofs.order-[0-9a-f]{16}/.test(name))
          expect(inside.includes(secret), `${secret} in ${name}`).toBe(false);
      }
    }
    for (const secret of SECRETS) expect(log).not.toContain(secret);
    // beside the public folder and not in it
    expect(existsSync(join(folder, 'couples/index.html'))).toBe(true);
    const shown = filesBelow(join(folder, 'couples')).map((f) => f.slice(folder.length));
    expect(shown.filter((f) => /proof|order|price/.test(f))).toEqual([]);
    expect(readFileSync(join(folder, 'couples-private/READ-ME-FIRST.txt'), 'utf8')).toContain(
      'Laden Sie diesen Ordner nicht hoch',
    );
  });

  it('tell, draw and have cut the order’s own letters, and those of the model where it says none', () => {
    const [, first, second] = parseCsv(readFileSync(join(PROOFS, 'orders.csv'), 'utf8'));
    const proof = ([, file]: string[]) => readFileSync(join(PROOFS, file), 'utf8');
    const facts = ([, file]: string[], n: number) =>
      JSON.parse(readFileSync(join(PROOFS, file.replace('.html', `-facts-${n}.json`)), 'utf8')).solid;
    const told = (page: string) =>
      [...page.matchAll(/<span class="engraved">([^<]*)/g)].map(([, text]) => text);
    expect(facts(first, 1).marks.engravings).toMatchObject([{ side: 'inside', text: 'Vermächtniswort' }]);
    expect(facts(first, 2).marks.engravings).toMatchObject([{ side: 'inside', text: '+ für immer' }]);
    expect(facts(second, 1).marks.engravings).toMatchObject([{ side: 'outside', text: 'AUSSENSPRUCH' }]);
    expect(told(proof(first)).slice(0, 2)).toEqual(['Vermächtniswort', '+ für immer']);
    expect(proof(first).match(/<path class="letters"/g)).toHaveLength(2);
    expect(proof(first)).toContain('Das Bild entstand ohne Ihre Gravur');
    expect(proof(first)).toContain('Ring für &quot;Ößterwyn&quot;');
    expect(proof(second)).toContain('Engraving outside');
    // delivery, deposit, the maker's terms, and what can be made of a band later
    expect(proof(first)).toMatch(/Fertig bis<\/dt><dd>31\. März 2027.*Anfertigung nach Ihrem Maß/s);
    expect(proof(first)).toContain('in Grenzen, beim Goldschmied');
    expect(proof(second)).toContain('Made to your measures');
    expect(proof(second)).not.toContain('Ready by');
    const amounts = (row: RegExp) =>
      Number(
        proof(second)
          .match(row)?.[1]
          .replace(/[^\d.]/g, ''),
      );
    const total = amounts(/<td class="total">([^<]*)/);
    expect(amounts(/Deposit with the order \(25%\)<\/th><td>([^<]*)/)).toBeCloseTo(total / 4, 2);
    // of one name of two nothing is guessed
    expect(proof(second)).toContain('First band');
  });

  it('as PDF are of the paper asked for and say in the order’s language what was ordered', async () => {
    const list = parseCsv(readFileSync(join(PROOFS, 'orders.csv'), 'utf8'));
    // a number that a spreadsheet would run as a formula
    expect(list.map(([order]) => order)).toEqual(['order', "'=A1", 'B2']);
    const base = list.map(([, file]) => file.replace('.html', ''));
    const german = await pdfPages(join(PROOFS, `${base[1]}-a4.pdf`));
    // ISO 216 A4 in points, to a point
    expect([german[0].width, german[0].height].map(Math.round)).toEqual([595, 842]);
    expect(german).toHaveLength(2);
    const text = german.map((p) => p.text).join(' ');
    for (const said of [
      'Für <b>Quillabert</b> & "Ößterwyn"',
      'Ihre Trauringe',
      'ISO 52',
      'Gelbgold 750 (18 Karat), poliert',
      'Vermächtniswort',
      '+ für immer',
      'geheimnotiz',
      'einschließlich 19 % MwSt.',
      '31. Dezember 2027',
      'Ein Etui',
      'Nur zur Probe.',
      'Teststraße 1',
    ])
      expect(text).toContain(said);
    // 52 mm round: Ø 16.55 mm, written with a comma
    expect(text).toContain('Ø 16,55 mm, Umfang 52 mm');

    const english = await pdfPages(join(PROOFS, `${base[2]}-letter.pdf`));
    expect([english[0].width, english[0].height]).toEqual([612, 792]);
    const words = english.map((p) => p.text).join(' ');
    for (const said of [
      'Zephyrine',
      'US 8½',
      'made as ISO 58',
      '28 February 2027',
      'including 19% VAT',
      'A case',
      '=HYPERLINK("x")',
      'nickel white gold (750)',
    ])
      expect(words).toContain(said);
    // the caution of the alloy that is in it (REACH annex XVII entry 27)
    expect(words).toMatch(/0\.5 [µμ]g Ni\/cm²\/week/);
  });

  it('as pages hold everything, run what a reply is made with and nothing else, and load nothing', () => {
    const page = readFileSync(
      join(PROOFS, readdirSync(PROOFS).find((f) => /^order-[0-9a-f]{16}\.html$/.test(f)) ?? ''),
      'utf8',
    );
    const [data, script, ...more] = [...page.matchAll(/<script([^>]*)>([\s\S]*?)<\/script>/g)];
    expect(more).toEqual([]);
    expect(data[1]).toBe(' type="application/json" id="signing-data"');
    expect(script[1]).toBe('');
    expect(page).toContain(`script-src '${hashOf(script[2])}';`);
    const rest = page.replace(data[0], '').replace(script[0], '');
    expect(rest).not.toMatch(/<script|<link|<iframe|\son\w+=|https?:\/\/(?!www\.w3)/i);
    for (const [, source] of page.matchAll(/(?:src="|url\()([^")]*)/g)) expect(source).toMatch(/^data:/);
    expect(page).toContain("default-src 'none'");
    expectStylesByHash(page);
    expect(page).not.toContain('<b>Quillabert');
  });

  it('are left alone when nothing changed, and go with their order', async () => {
    const before = readdirSync(PROOFS).sort();
    const again = await make(ORDERED);
    expect(again.result.upToDate).toBe(true);
    const one = ORDERS.split('\n').slice(0, 2).join('\n');
    const fewer = await make(ORDERED, `${one}\n`);
    expect(fewer.result.upToDate).toBe(false);
    // three papers of the proof, and the facts of its engraved band
    expect(readdirSync(PROOFS)).toHaveLength(before.length - 3 - 1);
    // a run of some SKUs keeps the rest
    await make(ORDERED, ORDERS, (sku) => sku === 'C-ISO58-Y18');
    expect(readdirSync(PROOFS).sort()).toEqual(before);
    await make(CONFIG.replace(/price:.*\n/, ''));
    expect(existsSync(join(folder, 'couples-private'))).toBe(false);
  });

  it('run on to another page where texts are long, and lose none of them', async () => {
    const word = (i: number) => `Wort${i}`;
    const notes = Array.from({ length: 80 }, (_, i) => word(i)).join(' ');
    const options = Array.from({ length: 12 }, (_, i) => `"Möglichkeit${i} ${'lang '.repeat(28).trim()}"`);
    const long = ORDERED.replace('{ de: "Ein Etui", en: "A case" }', options.join(', ')).replace(
      'paper: [a4, letter]',
      'pairs: false, paper: [letter]',
    );
    const orders = `order,names,sku,notes,engraving-1\n1,${'N'.repeat(120)},C-ISO52-Y18-duo,"${notes.slice(0, 590)}",${'l'.repeat(60)}\n`;
    await make(long, orders);
    const file = readdirSync(PROOFS).find((f) => /^order.*letter\.pdf$/.test(f)) ?? '';
    const pages = await pdfPages(join(PROOFS, file));
    expect(pages.length).toBeGreaterThan(2);
    const text = pages.map((p) => p.text).join(' ');
    for (const said of [
      ...Array.from({ length: 70 }, (_, i) => word(i)),
      'Möglichkeit11',
      'Unterschrift',
      'Nur zur Probe.',
    ])
      expect(text).toContain(said);
  });
});

describe('prices for the maker', () => {
  it('are made up in the private folder and told as totals in the catalogue', async () => {
    await make(CONFIG);
    const rows = parseCsv(readFileSync(join(folder, 'couples-private/prices.csv'), 'utf8'));
    const of = (kind: string) =>
      rows.filter(([sku, k]) => sku === 'C-ISO52-Y18' && k === kind).map((r) => Number(r[6]));
    const [metal] = of('metal');
    const [total] = of('total');
    expect(total % 10).toBe(0);
    expect(Math.abs(total - (metal + 200) * 1.19)).toBeLessThanOrEqual(5);
    const csv = readFileSync(join(folder, 'couples/catalogue.csv'), 'utf8');
    const [head, first] = parseCsv(csv);
    expect(Number(first[head.indexOf('price')])).toBe(total);
    expect(csv).not.toContain(String(metal));
  });
});
