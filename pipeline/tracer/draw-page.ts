import type { Browser } from 'puppeteer';

/** Runs a script in an empty page and calls the function it has put on `globalThis`. */
export async function drawInPage(
  browser: Browser,
  script: string,
  name: string,
  order: unknown,
): Promise<unknown> {
  const page = await browser.newPage();
  try {
    await page.setContent('<!doctype html><title>still</title>', { waitUntil: 'load' });
    await page.addScriptTag({ content: script });
    return await page.evaluate(
      (called, given) =>
        (globalThis as unknown as Record<string, (order: unknown) => Promise<unknown>>)[called](given),
      name,
      order,
    );
  } finally {
    await page.close().catch(() => {});
  }
}
