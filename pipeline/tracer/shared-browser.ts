import type { OpenBrowser } from './browser.ts';

/** A browser that is started when it is first asked for, and anew after it was lost. */
export class SharedBrowser {
  private readonly start: () => Promise<OpenBrowser>;
  private opening: Promise<OpenBrowser> | undefined;

  constructor(start: () => Promise<OpenBrowser>) {
    this.start = start;
  }

  open(): Promise<OpenBrowser> {
    if (this.opening) return this.opening;
    const opening = this.start();
    this.opening = opening;
    const forget = () => {
      if (this.opening === opening) this.opening = undefined;
    };
    opening.then(({ browser, close }) => {
      browser.once('disconnected', () => {
        forget();
        // Its remains (profile, stray processes) go too.
        close();
      });
    }, forget);
    return opening;
  }

  async close(): Promise<void> {
    const opened = await this.opening?.catch(() => undefined);
    await opened?.close();
  }
}
