/**
 * Content keys: what an artefact is called before it exists. Equal inputs, equal key; any change, another key.
 */
import { createHash } from 'node:crypto';
import type { Branded } from '../branded.ts';
import { canonicalJson } from './canonical-json.ts';

/** 64 lower-case hex digits. */
export type ContentKey = Branded<'content key'>;

/**
 * SHA-256 of canonical JSON, 64 lower-case hex digits. Typed arrays anywhere inside count by kind, length and
 * content hash.
 * @throws TypeError for numbers that JSON cannot hold
 */
export function artefactKey(inputs: unknown): ContentKey {
  return sha256(canonicalJson(withHashes(inputs))) as ContentKey;
}

export function sha256(data: Uint8Array | string): string {
  return createHash('sha256').update(data).digest('hex');
}

/** First 16 hex digits of the SHA-256 of a value's canonical JSON. */
export function contentKey(value: unknown): string {
  return sha256(canonicalJson(value)).slice(0, 16);
}

function withHashes(value: unknown): unknown {
  if (ArrayBuffer.isView(value)) {
    const bytes = new Uint8Array(value.buffer, value.byteOffset, value.byteLength);
    return { array: value.constructor.name, bytes: bytes.length, sha256: sha256(bytes) };
  }
  if (Array.isArray(value)) return value.map(withHashes);
  if (typeof value === 'object' && value !== null) {
    return Object.fromEntries(Object.entries(value).map(([k, v]) => [k, withHashes(v)]));
  }
  return value;
}
