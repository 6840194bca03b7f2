/** What a take needs of whatever it runs in: puppeteer's browser and page, or a process of Node with a graphics card. */
export interface TakePage {
  once(event: 'error' | 'pageerror', told: (error: unknown) => void): unknown;
  goto(url: string): Promise<unknown>;
  /** answers as soon as it has time to */
  evaluate(ask: () => boolean): Promise<boolean>;
  close(): Promise<void>;
}

export interface TakeHost {
  browser: {
    readonly connected: boolean;
    on(event: 'disconnected', told: () => void): unknown;
    once(event: 'disconnected', told: () => void): unknown;
    off(event: 'disconnected', told: () => void): unknown;
    process(): { pid?: number } | null;
  };
  pages: {
    open(): Promise<TakePage>;
    /** a page whose take ended `well` may serve another; never throws */
    leave(page: TakePage, well: boolean): Promise<void>;
  };
  /** ends it; never throws */
  close(): Promise<void>;
  /** ends it without asking, if it does not answer */
  kill(): void;
}
