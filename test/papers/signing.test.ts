/** A proof's page as a couple answers it: in a real browser, from disk, by keyboard. */
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser, Page } from 'puppeteer';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { proofDigest } from '../../pipeline/papers/proof-digest.ts';
import { type Proof, proofPage } from '../../pipeline/papers/proof-page.ts';
import { fromMailText, isWhole, type SealedReply } from '../../pipeline/papers/reply.ts';
import { readSigning } from '../../pipeline/papers/signing.ts';
import { browserScript } from '../../pipeline/store/browser-script.ts';
import { localeOf } from '../../pipeline/words/locale.ts';
import { expectStylesByHash } from '../page/content-policy.ts';
import { openAt, pageBrowser, violations } from '../page/page-browser.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-signing-'));
const SOON = { timeout: 180_000 };
let browser: Browser;
let script: string;
beforeAll(async () => {
  browser = await pageBrowser();
  script = await browserScript('papers/reader/signing.ts');
});
afterAll(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true, force: true });
});

const BAND: Proof['bands'][number] = {
  sku: 'T-52',
  size: 'ISO 52',
  inside: 'Ø 16.55 mm',
  width: '4 mm',
  thickness: '1.8 mm',
  metals: ['18 ct yellow gold, polished'],
  stones: [],
  mass: 'approx. 5 g',
  resizing: 'as-gold',
  letters: [{ side: 'inside', text: 'Jonte', drawing: '<svg></svg>', scale: '2:1' }],
};
const PROOF: Proof = {
  title: 'Bands',
  letterhead: { name: 'Bench', address: ['1 Lane'], email: 'bench@saltmarsh.example' },
  order: '2027-014 </script>',
  names: 'Ilka & Jonte',
  expires: '2020-01-31',
  pictures: [],
  bands: [BAND, BAND],
  options: ['A case of grey felt'],
  cautions: [],
};
const DESIGN = { design: { widthMm: 4 }, alloys: ['yellow-18'], finishes: ['polished'], stones: [] };
const digest = proofDigest(PROOF, [DESIGN, DESIGN], 'en');
const html = (language: 'en' | 'de', proof = PROOF) =>
  proofPage(proof, localeOf(language), 'a4', { proof: 'order-0123456789abcdef', digest, script });

async function opened(
  language: 'en' | 'de',
  see: (page: Page, downloads: string) => Promise<void>,
  { width = 390, proof = PROOF } = {},
): Promise<void> {
  const file = join(folder, `${language}-${width}.html`);
  writeFileSync(file, html(language, proof));
  const url = pathToFileURL(file).href;
  const { page, complaints } = await openAt(browser, url, 'file:', { width });
  const downloads = mkdtempSync(join(folder, 'saved-'));
  mkdirSync(downloads, { recursive: true });
  const session = await page.createCDPSession();
  await session.send('Browser.setDownloadBehavior', { behavior: 'allow', downloadPath: downloads });
  try {
    await see(page, downloads);
  } finally {
    await page.close();
  }
  expect(complaints).toEqual([]);
}

async function saved(downloads: string): Promise<SealedReply> {
  await expect.poll(() => readdirSync(downloads).filter((n) => n.endsWith('.json')), SOON).toHaveLength(1);
  return JSON.parse(readFileSync(join(downloads, readdirSync(downloads)[0]), 'utf8'));
}

it('gives back by keyboard alone a whole reply with names, date and what was ticked', () =>
  opened('en', async (page, downloads) => {
    expect(await violations(page)).toEqual([]);
    // nothing is given before what it needs is there, and each lack is told
    await page.focus('#save');
    await page.keyboard.press('Enter');
    const said = await page.$eval('[role="alert"]', (e) => e.textContent);
    expect(said).toBe('Please choose: approve, or ask for changes.\nPlease write your name.');
    expect(await page.evaluate(() => (document.activeElement as HTMLInputElement).name)).toBe('decision');
    expect(await violations(page)).toEqual([]);
    await page.keyboard.press('Space');
    // the next tick lies behind the other choice: on to the sizes, the letters, the case
    await page.keyboard.press('Tab');
    await page.keyboard.press('Space');
    await page.keyboard.press('Tab');
    await page.keyboard.press('Tab');
    await page.keyboard.press('Space');
    await page.keyboard.press('Tab');
    await page.keyboard.press('Tab');
    await page.keyboard.type('Ilka Sandvoort');
    await page.keyboard.press('Tab');
    await page.keyboard.type('Jonte Deichgräber');
    await page.focus('#save');
    await page.keyboard.press('Enter');
    const reply = await saved(downloads);
    expect(isWhole(reply)).toBe(true);
    expect(reply).toMatchObject({
      proof: 'order-0123456789abcdef',
      digest,
      order: PROOF.order,
      decision: 'approved',
      ticked: ['We had both ring sizes measured for bands of this width.', 'A case of grey felt'],
      names: ['Ilka Sandvoort', 'Jonte Deichgräber'],
      date: new Date(Date.now() - 60_000 * new Date().getTimezoneOffset()).toISOString().slice(0, 10),
    });
    expect(reply.nature).toContain('no qualified electronic signature');
    expect(await page.$eval('[role="status"]', (e) => e.textContent)).toContain('Nothing was sent yet');
    // the offer's day is long past, which is told
    expect(await page.$eval('.late', (e) => e.textContent)).toContain('31 January 2020');
  }));

it('drafts an e-mail with the reply in it, and asks to attach the file where it would be too long', () =>
  opened(
    'de',
    async (page, downloads) => {
      expect(await violations(page)).toEqual([]);
      // no mail program here: the link is kept in place of being followed
      const asked: string[] = [];
      await page.exposeFunction('keep', (href: string) => asked.push(href));
      await page.evaluate(() =>
        document.addEventListener('click', (event) => {
          const { href } = event.target as HTMLAnchorElement;
          if (!href?.startsWith('mailto:')) return;
          event.preventDefault();
          (globalThis as unknown as { keep(href: string): void }).keep(href);
        }),
      );
      await page.click('.ticks input[name="decision"]');
      await page.type('#name-1', 'Ilka');
      await page.click('#mail');
      await expect.poll(() => asked.length, SOON).toBe(1);
      const address = new URL(asked[0]);
      expect(address.pathname).toBe('bench@saltmarsh.example');
      expect(asked[0].length).toBeLessThan(2000);
      const sent = JSON.parse(fromMailText(address.searchParams.get('body') ?? '') ?? '') as SealedReply;
      expect(isWhole(sent)).toBe(true);
      expect(sent).toMatchObject({ decision: 'approved', names: ['Ilka'], digest });
      await page.click('.ticks li:nth-child(2) input[name="decision"]');
      await page.type('#changes', 'breiter '.repeat(70));
      await page.click('#mail');
      await expect.poll(() => asked.length, SOON).toBe(2);
      expect(new URL(asked[1]).searchParams.get('body')).toContain('hängen Sie die eben gespeicherte Datei');
      expect(await saved(downloads)).toMatchObject({ decision: 'changes' });
    },
    { width: 1440 },
  ));

it('is answered on paper where scripts do not run, and names its script by hash', () => {
  const page = html('en');
  expectStylesByHash(page);
  expect(page).toMatch(/script-src 'sha256-[^']+';/);
  expect(page).toContain('<section class="answer" hidden>');
  expect(page).toContain('class="sign"');
  // whoever lists proofs finds what they need at the head, whatever an order is called
  expect(readSigning(page.slice(0, 16 * 1024))).toMatchObject({
    order: PROOF.order,
    digest,
    expires: '2020-01-31',
  });
  expect(proofPage(PROOF, localeOf('en'), 'a4')).not.toContain('<script');
});

it('has another digest when anything that is agreed on changes, and none for a longer date', () => {
  const of = (more: Partial<Proof>, design = DESIGN) =>
    proofDigest({ ...PROOF, ...more }, [design, design], 'en');
  const voids: Partial<Proof>[] = [
    { delivery: '2027-07-01' },
    { terms: 'Other terms' },
    { price: { bands: [], total: '€ 1' } },
    { bands: [BAND, { ...BAND, letters: [{ ...BAND.letters[0], text: 'jonte' }] }] },
    { bands: [BAND, { ...BAND, width: '5 mm' }] },
    { options: [] },
    { names: 'Ilka & Jon' },
  ];
  for (const more of voids) expect(of(more)).not.toBe(digest);
  // what words do not tell of a design counts too
  expect(of({}, { ...DESIGN, design: { widthMm: 4.01 } })).not.toBe(digest);
  expect(of({ expires: '2030-01-01', issued: '2026-01-01', cautions: ['More'] })).toBe(digest);
});
