import { createHash } from 'node:crypto';

/** Of a file's text; an edit names the one that it was meant for. */
export function revisionOf(text: string | Uint8Array): string {
  return createHash('sha256').update(text).digest('hex');
}
