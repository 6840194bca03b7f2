/** The process of Node in which Dawn traces (`dawn-host.ts`), as takes see it: like a browser whose pages are takes. */
import { type ChildProcess, fork } from 'node:child_process';
import { EventEmitter, once } from 'node:events';
import { createRequire } from 'node:module';
import { RELEASED } from '../store/installation.mjs';
import { settles } from './browser-process.ts';
import type { DawnAnswer, DawnOrder } from './dawn-orders.ts';
import type { AdapterFacts } from './gpu/device.ts';
import type { TakeHost, TakePage } from './take-host.ts';

/** ms in which it has loaded a driver and found a card */
const OPENS = 30_000;
const CLOSES = 2000;

export interface DawnProcess extends TakeHost {
  /** of the card; undefined where it has none */
  facts?: AdapterFacts;
}

/** Is the package there? It is looked for only when a card is asked for, and loaded in a process of its own. */
export function hasDawn(): boolean {
  try {
    return createRequire(import.meta.url).resolve('webgpu') !== '';
  } catch {
    return false;
  }
}

/** Starts the process and waits until it says what card it has. Rejects where it ends before that. */
export async function openDawn(env?: Record<string, string | undefined>): Promise<DawnProcess> {
  const file = RELEASED ? './dawn-host.js' : './dawn-host.ts';
  const execArgv = RELEASED ? [] : ['--import', new URL('../cli/typescript.mjs', import.meta.url).href];
  const child = fork(new URL(file, import.meta.url), {
    execArgv,
    env: env as NodeJS.ProcessEnv | undefined,
    stdio: ['ignore', 'ignore', 'ignore', 'ipc'],
  });
  const browser = new DawnAsBrowser(child);
  const close = async () => {
    if (!browser.connected) return;
    const gone = once(child, 'exit');
    child.kill();
    if (!(await settles(gone, CLOSES))) child.kill('SIGKILL');
  };
  const first = browser.card();
  if (!(await settles(first, OPENS))) {
    child.kill('SIGKILL');
    throw new Error('Dawn for Node did not answer');
  }
  const facts = await first;
  const pages = { open: () => browser.newPage(), leave: (page: TakePage) => page.close() };
  return { browser, pages, facts, close, kill: () => child.kill('SIGKILL') };
}

class DawnAsBrowser extends EventEmitter {
  connected = true;
  private readonly child: ChildProcess;
  private readonly pings = new Map<number, () => void>();
  private found: Promise<AdapterFacts | undefined>;
  private count = 0;

  constructor(child: ChildProcess) {
    super();
    this.child = child;
    this.found = new Promise((resolve, reject) => {
      child.on('message', (said: DawnAnswer) => {
        if (said.kind === 'card') resolve(said.facts);
        else this.pings.get(said.id)?.();
      });
      const gone = () => {
        reject(new Error('Dawn for Node ended at its start'));
        if (!this.connected) return;
        this.connected = false;
        this.emit('disconnected');
      };
      child.on('exit', gone);
      child.on('error', gone);
    });
    // whoever waits for it hears of it
    this.found.catch(() => {});
  }

  card(): Promise<AdapterFacts | undefined> {
    return this.found;
  }

  process(): { pid?: number } {
    return this.child;
  }

  async newPage(): Promise<TakePage> {
    let at: string | undefined;
    return {
      // what breaks here breaks the whole process
      once: () => {},
      goto: async (url) => {
        at = url;
        this.tell({ kind: 'take', url });
      },
      evaluate: () => {
        const id = ++this.count;
        const answered = new Promise<boolean>((resolve) => this.pings.set(id, () => resolve(true)));
        this.tell({ kind: 'ping', id });
        return answered.finally(() => this.pings.delete(id));
      },
      close: async () => {
        if (at) this.tell({ kind: 'end', url: at });
      },
    };
  }

  private tell(order: DawnOrder): void {
    if (this.connected) this.child.send(order, () => {});
  }
}
