import type { Browser } from 'puppeteer';

/**
 * Runs a script in a page of its own and calls the function it has put on `globalThis`.
 * @param address of an empty page that the script needs to stand on, for what only secure contexts have
 */
export async function drawInPage(
  browser: Browser,
  script: string,
  name: string,
  order: unknown,
  address?: string,
): Promise<unknown> {
  const page = await browser.newPage();
  try {
    if (address) {
      await page.goto(address, { waitUntil: 'load' });
      // that page's own policy lets no script in but what is evaluated from outside
      await page.evaluate(script);
    } else {
      await page.setContent('<!doctype html><title>still</title>', { waitUntil: 'load' });
      await page.addScriptTag({ content: script });
    }
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
