import { createHash } from 'node:crypto';
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const PIPELINE = fileURLToPath(new URL('..', import.meta.url));

/** Rooms whose code decides an artefact of the layer, beside the artefact's own inputs. */
const LAYERS = {
  solid: ['catalogue/design.ts', 'band', 'setting', 'run/solid-facts.ts'],
  film: ['scene', 'tracer/kernel', 'tracer'],
  picture: ['picture'],
  model: ['model'],
  comparison: ['scene/studio-map.ts', 'publish/page/still.ts', 'publish/page/wear.ts', 'run/comparing.ts'],
  part: ['model', 'run/part-bundle.ts', 'run/parts.ts'],
} as const;

export type Layer = keyof typeof LAYERS;

function hashTree(hash: ReturnType<typeof createHash>, path: string): void {
  if (/\.(ts|mjs)$/.test(path)) {
    hash.update(path.slice(PIPELINE.length).replaceAll('\\', '/')).update(readFileSync(path));
    return;
  }
  const entries = readdirSync(path, { withFileTypes: true }).sort((a, b) => (a.name < b.name ? -1 : 1));
  for (const e of entries) {
    if (e.isDirectory() || /\.(ts|mjs)$/.test(e.name)) hashTree(hash, join(path, e.name));
  }
}

/** All of the code, and the versions of the packages it stands on. */
export function sourcesVersion(): string {
  const hash = createHash('sha256');
  hashTree(hash, PIPELINE);
  for (const name of ['package.json', 'package-lock.json']) {
    const path = join(PIPELINE, '..', name);
    if (existsSync(path)) hash.update(readFileSync(path));
  }
  return hash.digest('hex');
}

/**
 * Version of the code behind each layer, as a hash of its sources: an artefact made by older code can never be
 * taken for one of today's, and nobody has to remember to raise a number.
 */
export function layerVersions(): Record<Layer, string> {
  const versions = {} as Record<Layer, string>;
  for (const [layer, paths] of Object.entries(LAYERS)) {
    const hash = createHash('sha256');
    for (const path of paths) hashTree(hash, join(PIPELINE, path));
    versions[layer as Layer] = hash.digest('hex').slice(0, 16);
  }
  return versions;
}
