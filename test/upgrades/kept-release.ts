/**
 * A small catalogue as a released version left it: config, catalogue and store as one packed file, `<version>.json.br` beside
 * this one. `node --import ./pipeline/cli/typescript.mjs test/upgrades/kept-release.ts` keeps today's, before a release.
 */
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { brotliCompressSync, brotliDecompressSync } from 'node:zlib';
import { main } from '../../pipeline/cli/main.ts';
import { ROOT } from '../../pipeline/store/installation.mjs';

export const KEPT = import.meta.dirname;

const CONFIG = `catalogue: kept
title: Kept
workshop: Test bench
template: plain-court
overrides: { chord-tolerance: 0.1 mm }
grid: { size: [ISO 54], metal: [yellow-18, platinum-950] }
shots: [front]
frame: 48 px
quality: { noise: 20 %, passes: 16 }
outputs: { images: [{ format: webp, widths: [48] }], glb: false }
sku: K-{size}-{metal}
`;

/** Lays out what a version left. @returns its config and output folder */
export function unpackRelease(file: string, folder: string): { config: string; out: string } {
  const files: Record<string, string> = JSON.parse(
    brotliDecompressSync(readFileSync(join(KEPT, file))).toString('utf8'),
  );
  for (const [path, base64] of Object.entries(files)) {
    mkdirSync(join(folder, dirname(path)), { recursive: true });
    writeFileSync(join(folder, path), Buffer.from(base64, 'base64'));
  }
  return { config: join(folder, 'kept.yaml'), out: join(folder, 'output') };
}

async function keep(): Promise<void> {
  const { version } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8'));
  const folder = mkdtempSync(join(tmpdir(), 'bandwright-kept-'));
  writeFileSync(join(folder, 'kept.yaml'), CONFIG);
  const code = await main(['make', join(folder, 'kept.yaml'), '--out', join(folder, 'output')]);
  if (code !== 0) throw new Error(`made with exit code ${code}`);
  const paths = readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && !/\/(lease|reports|last)(\/|$)/.test(entry.parentPath))
    .map((entry) => join(entry.parentPath, entry.name).slice(folder.length + 1));
  const files = paths.sort().map((path) => [path, readFileSync(join(folder, path)).toString('base64')]);
  const packed = brotliCompressSync(JSON.stringify(Object.fromEntries(files)));
  writeFileSync(join(KEPT, `${version}.json.br`), packed);
  rmSync(folder, { recursive: true });
  console.log(`${version}: ${files.length} files, ${packed.length} bytes`);
}

if (import.meta.url === pathToFileURL(process.argv[1]).href) await keep();
