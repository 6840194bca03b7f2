import type { TakeHost } from './take-host.ts';

/** A browser, or what stands for one, that is started when it is first asked for, and anew after it was lost. */
export class SharedBrowser<Opened extends TakeHost> {
  private readonly start: () => Promise<Opened>;
  private opening: Promise<Opened> | undefined;

  constructor(start: () => Promise<Opened>) {
    this.start = start;
  }

  open(): Promise<Opened> {
    if (this.opening) return this.opening;
    const opening = this.start();
    this.opening = opening;
    const forget = () => {
      if (this.opening === opening) this.opening = undefined;
    };
    opening.then(({ browser, close }) => {
      const lost = () => {
        forget();
        // Its remains (profile, stray processes) go too.
        close();
      };
      browser.once('disconnected', lost);
      if (!browser.connected) lost();
    }, forget);
    return opening;
  }

  async close(): Promise<void> {
    const opened = await this.opening?.catch(() => undefined);
    await opened?.close();
  }
}
