/** What passes between a session and the process of Node in which Dawn traces (`dawn-process.ts`, `dawn-host.ts`). */
import type { AdapterFacts } from './gpu/device.ts';

export type DawnOrder =
  /** trace the take at this address, as a page does that is opened there */
  | { kind: 'take'; url: string }
  /** nobody wants it any more */
  | { kind: 'end'; url: string }
  | { kind: 'ping'; id: number };

export type DawnAnswer =
  /** comes once, first: the card it has found */
  { kind: 'card'; facts?: AdapterFacts } | { kind: 'pong'; id: number };
