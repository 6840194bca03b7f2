/**
 * What one run of `make` was, told after it: the contract behind report page, summary and notice. Times are ms since
 * 1970, lengths of time seconds, memory bytes, noise a share of a mid grey's light that would show as much. It holds no names, texts or numbers of
 * orders, and no address of a queue or of whom to tell.
 */

/** How a take ended: its films are stored, it was given up, its time was over, or the run was stopped in it. */
export type TakeEnd = 'made' | 'failed' | 'left' | 'stopped';

export interface TakeSpan {
  label: string;
  from: number;
  to: number;
  end: TakeEnd;
  colourways: number;
  /** seconds foretold when it began, for a machine that has nothing else to do */
  foretold: number;
  passes: number;
  /** noise target, and what was reached when it ended; 0 if no pass was seen */
  asked: number;
  reached: number;
  /** why it was tried again, in order */
  retries: string[];
}

export interface ShapeSpan {
  shape: string;
  from: number;
  to: number;
  triangles: number;
  stones: number;
}

/** What could not be made. */
export interface Fault {
  kind: 'shape' | 'take' | 'quarantine' | 'part' | 'sheet' | 'other';
  /** label of the take, file of the part or SKU; empty for shapes */
  name: string;
  skus: string[];
  reason: string;
}

/** A bench check that did not pass, over all bands that it befalls. */
export interface CheckTally {
  rule: string;
  severity: 'error' | 'warning';
  bands: number;
  /** one of them, with its figures */
  example: { sku: string; measured: string; limit: string; place: string };
  /** reason of the waiver */
  waived?: string;
}

/** A variant or pair that is not offered, and the bench errors that it fails. */
export interface HeldItem {
  sku: string;
  rules: string[];
}

export interface RunRecord {
  /** folder of the catalogue; of a share, which one */
  catalogue: string;
  title: string;
  share?: string;
  /** other machines traced for it; what they made counts as held */
  workers?: boolean;
  /** of Bandwright */
  version: string;
  started: number;
  ended: number;
  exit: number;
  /** what ended a run that did not come to its end */
  problem?: string;
  /** commands for a shell, secrets left out */
  command: string;
  rerun: string;
  machine: readonly (readonly [name: string, value: string])[];
  /** of the Node process */
  peakMemory: number;
  /** of Node and browser together, where the system told */
  peakWithBrowser?: number;
  /** absent if the run did not come so far */
  planned?: { variants: number; pairs: number; shapes: number; takes: number; pictures: number };
  /** what the store held already */
  held: { shapes: number; takes: number; pictures: number };
  /** bands and pairs; absent if nothing was published */
  made?: number;
  failed: string[];
  faults: Fault[];
  upToDate: boolean;
  /** of the files published */
  bytes: number;
  shapes: ShapeSpan[];
  takes: TakeSpan[];
  /** without pauses */
  takesPerHour: number;
  pauses: { times: number; seconds: number };
  /** a picture is one take's of one colourway in all its sizes and formats; from and to of each in turn */
  encodes: number[];
  /** when models, files for the caster, sheets and proofs were written */
  files: { models: number; parts: number; sheets: number; proofs: number; at: number[] };
  /** takes for which there was no time */
  left: string[];
  lowered?: { asked: number; noise: number };
  /** pictures of the catalogue by what has traced them; absent where all are the cores' */
  engines?: { cpu: number; gpu: number };
  checks: CheckTally[];
  /** kept out of feed, structured data, prices and proofs */
  heldBack: HeldItem[];
  warnings: string[];
}

/** `tried again twice` */
export function retryWords(retries: number): string {
  return retries === 1
    ? 'tried again once'
    : retries === 2
      ? 'tried again twice'
      : `tried again ${retries} times`;
}
