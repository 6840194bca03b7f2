import { setTimeout as settled } from 'node:timers/promises';
import type { Page } from 'puppeteer';
import { TracerLost } from './tracer-lost.ts';

interface Drawn {
  value?: unknown;
  fault?: string;
}

/** A call over the browser's protocol may take a minute; long films on busy machines take more. */
const MOST_MS = 15 * 60_000;
const MOST_PAUSE = 250;

/**
 * Runs a script in an empty page and calls the function it has put on `globalThis`.
 * @param address of an empty page that the script needs to stand on, for what only secure contexts have
 * @throws TracerLost if that says that its drawing context was lost, or never ends
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
  let pause = 20;
  await page.evaluate(begin, name, order);
  for (const late = performance.now() + MOST_MS; performance.now() < late; await settled(pause)) {
    const drawn = await page.evaluate(look);
    if (drawn?.fault !== undefined)
      throw drawn.fault.includes('context was lost')
        ? new TracerLost('page-crashed', drawn.fault)
        : new Error(drawn.fault);
    if (drawn) return drawn.value;
    pause = Math.min(MOST_PAUSE, 1.5 * pause);
  }
  throw new TracerLost('page-silent', `${name} has not ended in ${MOST_MS / 60_000} minutes`);
}

/** Page functions: what was called leaves its result, which is asked for again and again. */
function begin(called: string, given: unknown): void {
  const own = globalThis as unknown as Record<string, (order: unknown) => Promise<unknown>> & {
    drawn?: Drawn;
  };
  own.drawn = undefined;
  // also what is thrown at once
  Promise.resolve()
    .then(() => own[called](given))
    .then(
      (value) => {
        own.drawn = { value };
      },
      (error) => {
        own.drawn = { fault: error instanceof Error ? error.message : String(error) };
      },
    );
}

const look = () => (globalThis as unknown as { drawn?: Drawn }).drawn;
