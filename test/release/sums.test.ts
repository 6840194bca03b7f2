import { execFileSync, spawnSync } from 'node:child_process';
import { generateKeyPairSync } from 'node:crypto';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { writeSums } from '../../pipeline/cli/release/sums.ts';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'bandwright-sums-'));
  writeFileSync(join(folder, 'pack.tgz'), 'abc');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const openssl = spawnSync('openssl', ['version']).status === 0;

/** A key pair of its own, as PEM files. */
function keys(): void {
  const { publicKey, privateKey } = generateKeyPairSync('ed25519');
  writeFileSync(join(folder, 'key.pem'), privateKey.export({ type: 'pkcs8', format: 'pem' }));
  writeFileSync(join(folder, 'releaser.pem'), publicKey.export({ type: 'spki', format: 'pem' }));
}

test('the sum is that of FIPS 180-4’s example, and there is no signature without a key', () => {
  writeSums(join(folder, 'pack.tgz'), undefined);
  // FIPS 180-4, example of SHA-256 for "abc"
  expect(readFileSync(join(folder, 'pack.tgz.sha256'), 'utf8')).toBe(
    'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad  pack.tgz\n',
  );
  expect(existsSync(join(folder, 'pack.tgz.sha256.sig'))).toBe(false);
});

test.runIf(openssl)(
  'OpenSSL verifies the signature by the command of CHANGES.md, and refuses a changed sum',
  () => {
    keys();
    writeSums(join(folder, 'pack.tgz'), join(folder, 'key.pem'));
    const verify = () =>
      spawnSync(
        'openssl',
        'pkeyutl -verify -pubin -inkey releaser.pem -rawin -in pack.tgz.sha256 -sigfile pack.tgz.sha256.sig'.split(
          ' ',
        ),
        { cwd: folder, encoding: 'utf8' },
      );
    expect(verify()).toMatchObject({ status: 0 });
    execFileSync('sha256sum', ['--check', 'pack.tgz.sha256'], { cwd: folder, stdio: 'ignore' });
    writeFileSync(join(folder, 'pack.tgz.sha256'), `${'0'.repeat(64)}  pack.tgz\n`);
    expect(verify().status).not.toBe(0);
  },
);

test('a key of another kind is refused by name', () => {
  const { privateKey } = generateKeyPairSync('ec', { namedCurve: 'P-256' });
  writeFileSync(join(folder, 'key.pem'), privateKey.export({ type: 'pkcs8', format: 'pem' }));
  expect(() => writeSums(join(folder, 'pack.tgz'), join(folder, 'key.pem'))).toThrow('Ed25519');
});
