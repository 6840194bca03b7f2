import type { Page } from 'puppeteer';

/**
 * A page of HTML as PDF, its size as its style says, tagged for screen readers (ISO 32000-1, 14.8). What the browser
 * writes of the day and of its own past is set to the same always, so that equal pages give equal bytes.
 */
export async function printPage(page: Page, html: string): Promise<Uint8Array> {
  await page.setJavaScriptEnabled(false);
  await page.setContent(html, { waitUntil: 'load' });
  return timeless(await page.pdf({ preferCSSPageSize: true, printBackground: true, tagged: true }));
}

/** Dates and names of elements keep their length, so that offsets inside the file still hold. */
export function timeless(pdf: Uint8Array): Uint8Array {
  const text = Buffer.from(pdf).toString('latin1');
  const dated = text.replace(
    /(\/(?:CreationDate|ModDate) \(D:)(\d{14})/g,
    (_, head: string) => `${head}20000101000000`,
  );
  // elements are named by a count that goes on from page to page, and not by their order: by their places in the file each
  // has the same name always, and the table of names is by their order again
  const places = [...new Set([...dated.matchAll(/\/ID \(node(\d{8})\)/g)].map(([, count]) => count))];
  const names = new Map(places.map((count, i) => [count, String(i + 1).padStart(8, '0')]));
  const fixed = dated
    .replace(/\(node(\d{8})\)/g, (all, count: string) =>
      names.has(count) ? `(node${names.get(count)})` : all,
    )
    .replace(/(?<=\/Names \[)(?:\(node\d{8}\) \d+ 0 R ?)+(?=\])/g, (table) =>
      (table.match(/\(node\d{8}\) \d+ 0 R/g) ?? []).sort().join(' ').padEnd(table.length),
    )
    .replace(
      /(?<=\/Limits \[)\(node\d{8}\) \(node\d{8}\)(?=\])/,
      `(node${names.get(places[0])}) (node${names.get(places.at(-1) ?? '')})`,
    );
  return Buffer.from(fixed, 'latin1');
}
