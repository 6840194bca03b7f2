import type { Page } from 'puppeteer';
import { TracerLost } from './tracer-lost.ts';

/**
 * Runs a script in an empty page and calls the function it has put on `globalThis`.
 * @param address of an empty page that the script needs to stand on, for what only secure contexts have
 * @throws TracerLost if that says that its drawing context was lost
 */
export async function drawInPage(
  page: Page,
  script: string,
  name: string,
  order: unknown,
  address?: string,
): Promise<unknown> {
  if (address) {
    await page.goto(address, { waitUntil: 'load' });
    // that page's own policy lets no script in but what is evaluated from outside
    await page.evaluate(script);
  } else {
    await page.setContent('<!doctype html><title>still</title>', { waitUntil: 'load' });
    await page.addScriptTag({ content: script });
  }
  const call = (called: string, given: unknown) =>
    (globalThis as unknown as Record<string, (order: unknown) => Promise<unknown>>)[called](given);
  return page.evaluate(call, name, order).catch((error: Error) => {
    throw error.message.includes('context was lost') ? new TracerLost('page-crashed', error.message) : error;
  });
}
