import { createHash, createPrivateKey, sign } from 'node:crypto';
import { readFileSync, writeFileSync } from 'node:fs';
import { basename } from 'node:path';

/** Holds the path of the releaser's private key (Ed25519, PEM); without it a release carries its sum alone. */
export const SIGNING_KEY = 'BANDWRIGHT_SIGNING_KEY';

/**
 * Writes the file's SHA-256 sum beside it, as `sha256sum --check` reads it, and its signature if there is a key.
 * @throws Error if the key is none of Ed25519
 */
export function writeSums(file: string, keyFile: string | undefined): void {
  const sum = createHash('sha256').update(readFileSync(file)).digest('hex');
  const line = `${sum}  ${basename(file)}\n`;
  writeFileSync(`${file}.sha256`, line);
  if (!keyFile) return;
  const key = createPrivateKey(readFileSync(keyFile));
  if (key.asymmetricKeyType !== 'ed25519')
    throw new Error(`${SIGNING_KEY}: expected an Ed25519 key but received one of ${key.asymmetricKeyType}`);
  writeFileSync(`${file}.sha256.sig`, sign(null, Buffer.from(line), key));
}
