import type { Page } from 'puppeteer';

/**
 * A page of HTML as PDF, its size as its style says. The dates that the browser writes are set to the same day always,
 * so that equal pages give equal bytes.
 */
export async function printPage(page: Page, html: string): Promise<Uint8Array> {
  await page.setJavaScriptEnabled(false);
  await page.setContent(html, { waitUntil: 'load' });
  return undated(await page.pdf({ preferCSSPageSize: true, printBackground: true, tagged: false }));
}

/** Dates keep their length, so that offsets inside the file still hold. */
export function undated(pdf: Uint8Array): Uint8Array {
  const text = Buffer.from(pdf).toString('latin1');
  const fixed = text.replace(
    /(\/(?:CreationDate|ModDate) \(D:)(\d{14})/g,
    (_, head: string) => `${head}20000101000000`,
  );
  return Buffer.from(fixed, 'latin1');
}
