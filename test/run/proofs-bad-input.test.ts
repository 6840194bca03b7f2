/** What orders and configs may hold by mistake or malice, through the real run and the real print. */
import { randomBytes } from 'node:crypto';
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Papa from 'papaparse';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { jsonReport, textReport } from '../../pipeline/cli/progress.ts';
import { formatProblem } from '../../pipeline/problem.ts';
import { readCatalogue } from '../../pipeline/publish/catalogue.ts';
import { makeCatalogue } from '../../pipeline/run/make.ts';
import { createTracerSession, type TracerSession } from '../../pipeline/tracer/session.ts';
import { hashOf } from '../../pipeline/words/html.ts';
import { planOf, problemsOf } from '../plan/workspace.ts';
import { greyTake } from './grey-take.ts';
import { hasPoppler, readPdfs, squeezed, wordsOutside } from './poppler.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-bad-orders-'));
const PROOFS = join(folder, 'hostile-private/proofs');
let session: TracerSession;
beforeAll(async () => {
  session = await createTracerSession();
});
afterAll(async () => {
  await session.close();
  rmSync(folder, { recursive: true, force: true });
});

const CONFIG = `
catalogue: hostile
title: Hostile
workshop: { name: Test bench, small-print: { en: Our terms. } }
template: plain-court
overrides: { chord-tolerance: 0.1 mm }
grid: { size: [ISO 52, ISO 58], metal: [yellow-18] }
pairs: [{ name: duo, when: { size: ISO 52 }, partner: { size: ISO 58 } }]
shots: [three-quarter, pair]
frame: 32 px
orders: orders.csv
proofs: { pairs: false, paper: [a4, letter], options: [A case] }
outputs: { images: [{ format: png, widths: [32] }], glb: false }
sku: H-{size}-{metal}
`;
const HEAD = 'order,names,sku,engraving-1,engraving-2,notes,language';
const quoted = (cell: string) => `"${cell.replaceAll('"', '""')}"`;
const orders = (...rows: string[][]) =>
  `${[HEAD, ...rows.map((row) => row.map(quoted).join(','))].join('\n')}\n`;
const PAIR = 'H-ISO52-Y18-duo';

/** @returns everything that the run told on screen and as events */
async function make(file: string, logo?: Uint8Array): Promise<string> {
  // of a logo the page alone is looked at
  const text = logo
    ? CONFIG.replace('Test bench,', 'Test bench, logo: logo.png,').replace('[a4, letter]', '[a4]')
    : CONFIG;
  const { plan } = await planOf(text, { 'orders.csv': file, ...(logo ? { 'logo.png': logo } : {}) });
  if (logo) {
    plan.letterhead.logo = join(folder, 'logo.png');
    writeFileSync(plan.letterhead.logo, logo);
  }
  let log = '';
  const out = { write: (t: string) => (log += t), terminal: true, columns: 200 };
  const reports = [textReport(out), jsonReport(out)];
  const { failed } = await makeCatalogue(plan, {
    out: folder,
    openTracer: async () => ({ trace: greyTake, print: (h) => session.print!(h), close: async () => {} }),
    report: (event) => {
      for (const report of reports) report(event);
    },
    signal: new AbortController().signal,
  });
  expect([...failed]).toEqual([]);
  return log;
}

const proofFiles = (end: string) =>
  readdirSync(PROOFS)
    .filter((f) => f.startsWith('order-') && f.endsWith(end))
    .map((f) => join(PROOFS, f));

/** Texts as they may come: markup, script, formulas, quotes; scripts that the typeface has. */
const HOSTILE = {
  names: `<script>alert("Zwiebelfisch")</script> & 'Ob''elisk' </p><img src=x onerror=alert(1)>`,
  engraving: '"><svg onload=1>',
  notes: `=HYPERLINK("http://evil.example","Klick")\n{{7*7}} \${7*7} <!-- &amp; &#60; -->`,
};

describe('hostile and strange texts', () => {
  it('stand in proofs to the letter, run nothing, and appear nowhere else', async () => {
    const log = await make(
      orders(
        ['=1+1', HOSTILE.names, PAIR, HOSTILE.engraving, '@SUM(A1)', HOSTILE.notes, 'en'],
        ['+2', 'Ελένη Θαλασσινού ὦ', PAIR, 'για πάντα', '-5 °C', 'Щедрик Ґудзик', 'en'],
        ['-3', 'Łódź Đặng Ångström', PAIR, '', '½ № €', '-1 \u0905\u0928\u0928\u094d\u0924', 'en'],
      ),
    );
    const pages = proofFiles('.html').map((f) => readFileSync(f, 'utf8'));
    expect(pages).toHaveLength(3);
    for (const page of pages) {
      // one policy, no script but the page's own by its hash and its data, and no element or attribute that a text brought along
      expect(page).toContain("default-src 'none'");
      const scripts = [...page.matchAll(/<script([^>]*)>([\s\S]*?)<\/script>/g)];
      const own = scripts.filter(([, type]) => type === '');
      expect(scripts).toHaveLength(2);
      expect(page).toContain(`script-src '${hashOf(own[0][2])}';`);
      const bare = scripts.reduce((rest, [whole]) => rest.replace(whole, ''), page);
      const tags = (bare.match(/<[^>]+>/g) ?? []).filter((t) =>
        /^<(script|svg(?! xmlns="[^"]+" width=)|img src=x|!--)|\son\w+=/i.test(t),
      );
      expect(tags).toEqual([]);
    }
    expect(pages.filter((p) => p.includes('&lt;script&gt;alert(&quot;Zwiebelfisch&quot;)'))).toHaveLength(1);
    const secrets = ['Zwiebelfisch', "Ob''elisk", 'Θαλασσινού', 'Ґудзик', 'Łódź', 'SUM(A1)', '7*7'];
    for (const path of readdirSync(folder, { recursive: true, encoding: 'utf8' })) {
      const whole = join(folder, path);
      for (const secret of secrets) expect(path).not.toContain(secret);
      if (!statSync(whole).isFile() || /hostile-private.proofs.order-/.test(path)) continue;
      const inside = readFileSync(whole, 'utf8');
      for (const secret of secrets) expect(inside.includes(secret), `${secret} in ${path}`).toBe(false);
    }
    for (const secret of secrets) expect(log).not.toContain(secret);
  });

  it.skipIf(!hasPoppler)('are whole in the PDF as poppler reads it (skipped without poppler)', () => {
    const prints = readPdfs([...proofFiles('-a4.pdf'), ...proofFiles('-letter.pdf')]);
    expect(prints).toHaveLength(6);
    const texts = prints.slice(0, 3).map(({ letters }) => letters);
    const one = (...said: string[]) =>
      expect(
        texts.filter((t) => said.every((s) => t.includes(squeezed(s)))),
        said.join(),
      ).toHaveLength(1);
    one(HOSTILE.names, HOSTILE.engraving, HOSTILE.notes, '@SUM(A1)', '=1+1');
    // apostrophes and ampersands too, which HTML writes in other letters
    for (const { name } of prints.flatMap(({ fonts }) => fonts)) expect(name).toContain('NotoSans');
    one('Ελένη Θαλασσινού ὦ', 'για πάντα', '-5 °C', 'Щедрик Ґудзик');
    one('Łódź Đặng Ångström', '½ № €');
  });

  it('leave no formula in the table of orders (read by Papa Parse; OWASP, CSV Injection)', () => {
    const { data, errors } = Papa.parse<string[]>(readFileSync(join(PROOFS, 'orders.csv'), 'utf8'), {
      skipEmptyLines: true,
    });
    expect(errors).toEqual([]);
    expect(data.map(([order]) => order)).toEqual(['order', "'=1+1", "'+2", "'-3"]);
    for (const [, proof] of data.slice(1)) expect(statSync(join(PROOFS, proof)).size).toBeGreaterThan(1000);
  });

  it('in scripts that the typeface lacks are refused by code point: no fallback font is asked for', async () => {
    const file = orders(
      ['1', '山田 花子', PAIR, '', '', '', ''],
      ['2', 'محمد', PAIR, '', '', '', ''],
      ['3', 'Kim 💍', PAIR, '', '', '', ''],
    );
    const told = (await problemsOf(CONFIG, { 'orders.csv': file })).map(formatProblem);
    expect(told).toHaveLength(3);
    for (const [i, name] of ['U+5C71', 'U+0645', 'U+1F48D'].entries()) {
      expect(told[i]).toContain(`orders.csv:${i + 2}:`);
      expect(told[i]).toContain(name);
      expect(told[i]).toContain('Latin, Greek, Cyrillic or Devanagari');
      expect(told[i]).not.toMatch(/山|محمد|Kim|💍/);
    }
  });

  it('of the same order twice are refused by both lines', async () => {
    const row = (id: string) => [id, 'Zwiebelfisch', PAIR, '', '', '', ''];
    const [problem, ...more] = await problemsOf(CONFIG, {
      'orders.csv': orders(row('A7'), row('B'), row('a7')),
    });
    expect(more).toEqual([]);
    expect(formatProblem(problem)).toMatch(/orders\.csv:4:\d+: .*the one of line 2/s);
    expect(formatProblem(problem)).not.toContain('Zwiebelfisch');
  });
});

describe('missing translations', () => {
  it('name the languages that there are, and the text that is missing', async () => {
    const french = await problemsOf(CONFIG.replace('title:', 'language: fr\ntitle:'), {
      'orders.csv': orders(),
    });
    expect(french.map(formatProblem).join('\n')).toMatch(/language: expected .*en.*de.*received "fr"/s);
    const ordered = await problemsOf(CONFIG, {
      'orders.csv': orders(['1', 'A', PAIR, '', '', '', 'fr']),
    });
    expect(ordered.map(formatProblem).join('\n')).toMatch(/orders\.csv:2:\d+: .*one of en, de/s);
    const german = await problemsOf(CONFIG, { 'orders.csv': orders(['1', 'A', PAIR, '', '', '', 'de']) });
    expect(german.map(formatProblem).join('\n')).toMatch(/small-print: .*none in "de".*Add "de"/s);
  });
});

describe('logos', () => {
  /** Noise does not compress. */
  const noise = (side: number) =>
    sharp(randomBytes(3 * side ** 2), { raw: { width: side, height: side, channels: 3 } })
      .png({ compressionLevel: 0 })
      .toBuffer();

  it('of 10 MB cost a proof no more than small ones; larger files are refused before anything is made', async () => {
    const logo = await noise(1850);
    expect(logo.length).toBeGreaterThan(10e6);
    await make(orders(['1', 'A', PAIR, '', '', '', '']), logo);
    const [page] = proofFiles('.html');
    const mark = /<img src="data:image\/png;base64,([^"]+)" width="(\d+)"/.exec(readFileSync(page, 'utf8'))!;
    expect(Number(mark[2])).toBeLessThanOrEqual(900);
    expect(Buffer.from(mark[1], 'base64').length).toBeLessThan(500_000);
    const big = new Uint8Array(17 * 1024 * 1024);
    const told = await problemsOf(CONFIG.replace('Test bench,', 'Test bench, logo: logo.png,'), {
      'orders.csv': orders(['1', 'A', PAIR, '', '', '', '']),
      'logo.png': big,
    });
    expect(told.map(formatProblem).join()).toMatch(/workshop\.logo: expected .*at most 16 MB .*17\.0 MB/s);
  });

  it('white on nothing, which paper would swallow, stop the run with advice', async () => {
    const white = await sharp({ create: { width: 90, height: 30, channels: 4, background: '#fff0' } })
      .composite([{ input: { create: { width: 40, height: 20, channels: 4, background: '#ffffffff' } } }])
      .png()
      .toBuffer();
    await expect(make(orders(['1', 'A', PAIR, '', '', '', '']), white)).rejects.toMatchObject({
      problems: [expect.objectContaining({ received: expect.stringContaining('cannot be seen on white') })],
    });
  });
});

describe.skipIf(!hasPoppler)('proofs as poppler reads them (skipped without poppler)', () => {
  it('are of their paper, with every font inside, and lose no letter of the longest texts', async () => {
    const words = (word: string, most: number) =>
      Array.from({ length: 99 }, (_, i) => `${word}${i}`)
        .join(' ')
        .slice(0, most)
        .trimEnd();
    const long = {
      order: 'N'.repeat(40),
      names: words('Name', 120),
      engraving: 'l'.repeat(60),
      notes: `${words('Note', 300)}\n${'M'.repeat(280)}`,
    };
    await make(orders([long.order, long.names, PAIR, long.engraving, long.engraving, long.notes, 'en']));
    // ISO 216 A4 and ANSI A in points
    const papers = { a4: [595.28, 841.89], letter: [612, 792] } as const;
    const prints = readPdfs(Object.keys(papers).map((paper) => proofFiles(`-${paper}.pdf`)[0]));
    for (const [i, size] of Object.values(papers).entries()) {
      const { letters, sizes, fonts } = prints[i];
      expect(sizes.length).toBeGreaterThan(1);
      for (const page of sizes)
        for (const k of [0, 1] as const) expect(Math.abs(page[k] - size[k])).toBeLessThan(1);
      expect(fonts.length).toBeGreaterThan(0);
      for (const font of fonts) {
        expect(font.embedded, font.name).toBe(true);
        expect(font.mapped, `${font.name} to Unicode`).toBe(true);
        expect(font.name).toContain('NotoSans');
      }
      for (const text of Object.values(long)) expect(letters).toContain(squeezed(text));
      // 12 mm of margin on every side, less the rounding of boxes
      expect(wordsOutside(prints[i], (11.5 * 72) / 25.4)).toEqual([]);
    }
  });
});

it('catalogue.csv as Papa Parse reads it says what catalogue.json says', async () => {
  const { data, errors } = Papa.parse<Record<string, string>>(
    readFileSync(join(folder, 'hostile/catalogue.csv'), 'utf8'),
    { header: true, skipEmptyLines: true },
  );
  expect(errors).toEqual([]);
  const catalogue = await readCatalogue(join(folder, 'hostile'));
  const bands = catalogue!.items.flatMap((item) => item.bands.map((band) => ({ item, band })));
  expect(data).toHaveLength(bands.length);
  for (const [i, { item, band }] of bands.entries()) {
    const row = data[i];
    expect([row.sku, row.band_sku, row.title]).toEqual([item.sku, band.sku, item.title]);
    expect(Number(row.circumference_mm)).toBeCloseTo(band.circumferenceMm, 3);
    expect(Number(row.metal_mass_g_approx)).toBeCloseTo(band.metalMassG, 2);
    expect(Number(row.stone_count)).toBe(band.stoneCount);
    expect(row.axis_size).toBe(band.axes.size);
    const failed = band.checks.filter((c) => !c.passed && !c.waived && c.severity !== 'info');
    expect(Number(row.failed_checks)).toBe(new Set(failed.map((c) => c.rule)).size);
    expect(row.failed_checks).toBe(String(band.failedChecks));
    for (const { system, text } of band.sizes) expect(row[`size_${system}`]).toBe(text);
  }
});
