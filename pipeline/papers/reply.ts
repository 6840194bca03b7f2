/**
 * What a couple sends back for a proof: a small file of JSON, or the same in an e-mail. A hash over its content shows
 * whether it came whole; who sent it it cannot show. Runs in the couple's browser too.
 */
import { sha256 } from '@noble/hashes/sha2.js';
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js';
import { canonicalJson } from '../store/canonical-json.ts';

export const REPLY_FORMAT = 'bandwright-reply';
export const REPLY_VERSION = 1;

/** Most characters of what is typed into a reply. */
export const MOST_TYPED = { name: 80, changes: 600 };

export interface Reply {
  format: typeof REPLY_FORMAT;
  version: typeof REPLY_VERSION;
  /** name of the proof's files, without ending */
  proof: string;
  /** of the proof that was answered, see `proofDigest` */
  digest: string;
  order: string;
  decision: 'approved' | 'changes';
  /** lines that were ticked, as they were read */
  ticked: string[];
  changes?: string;
  /** as they were typed, one or two */
  names: string[];
  /** as it was typed, ISO 8601 */
  date: string;
  /** by the clock of the machine it was signed at, ISO 8601 in UTC */
  made: string;
  /** what it is and is not, in its reader's language */
  nature: string;
}

/** With the SHA-256 of the canonical JSON of all else, 64 hex digits. */
export type SealedReply = Reply & { integrity: string };

export function sealed(reply: Reply): SealedReply {
  return { ...reply, integrity: digestOf(reply) };
}

/** Whether the content is the one that was sealed. */
export function isWhole({ integrity, ...reply }: SealedReply): boolean {
  return integrity === digestOf(reply);
}

/** SHA-256 of a value's canonical JSON, 64 hex digits. */
export function digestOf(value: unknown): string {
  return bytesToHex(sha256(utf8ToBytes(canonicalJson(value))));
}

/** Shorter than mail programs break lines at (RFC 5322 asks for 78 at most). */
const LINE = 64;

/** As lines of plain text that survive mail: quoting marks and line breaks between them do no harm. */
export function toMailText(reply: SealedReply): string {
  const bytes = utf8ToBytes(JSON.stringify(reply));
  // base64url (RFC 4648, section 5): no sign of it is changed in an address
  const text = btoa(String.fromCharCode(...bytes))
    .replaceAll('+', '-')
    .replaceAll('/', '_')
    .replaceAll('=', '');
  const lines = text.match(new RegExp(`.{1,${LINE}}`, 'g')) ?? [];
  return [`[${REPLY_FORMAT}`, ...lines, ']'].join('\n');
}

/** The JSON that stands in a mail's text; undefined where there is none. @throws Error for what is no base64 of UTF-8 */
export function fromMailText(text: string): string | undefined {
  const [, lines] = new RegExp(`\\[${REPLY_FORMAT}([\\s>A-Za-z0-9_-]+)\\]`).exec(text) ?? [];
  if (lines === undefined) return undefined;
  const packed = lines.replace(/[\s>]/g, '').replaceAll('-', '+').replaceAll('_', '/');
  const bytes = Uint8Array.from(atob(packed), (c) => c.charCodeAt(0));
  return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
}
