import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { codeIdentity } from '../store/code-identity.ts';
import { sha256 } from '../store/content-key.ts';
import { buildFiles } from '../tracer/built-files.mjs';

export const PIPELINE = fileURLToPath(new URL('..', import.meta.url));

/** The modules whose use makes an artefact of the layer; what they import is found by itself. */
export const LAYER_MODULES = {
  solid: ['setting/build-shape.ts', 'facts/solid-facts.ts'],
  film: [
    'scene/take-scene.ts',
    'scene/subject-frame.ts',
    'tracer/film-file.ts',
    'tracer/page/page.ts',
    'tracer/page/worker.ts',
  ],
  picture: ['picture/encode.ts', 'picture/swatches.ts', 'run/framing.ts', 'run/picture-bundle.ts'],
  model: ['model/glb.ts', 'model/single-glb.ts', 'model/usd-geometry.ts', 'model/usdz.ts'],
  comparison: ['scene/studio-map.ts', 'page/reader/still.ts', 'picture/comparison.ts', 'run/comparing.ts'],
  part: ['model/cast-part.ts', 'band/polish-allowance.ts', 'run/part-bundle.ts'],
  /** all that a published catalogue comes from */
  catalogue: ['run/make.ts', 'page/reader/page.ts', 'page/reader/viewer.ts'],
} as const;

export type Layer = keyof typeof LAYER_MODULES;

let identities: Promise<[Layer, string][]> | undefined;

/** Found once in a process: it goes on with the code that it loaded, whatever becomes of the files. */
function codeHashes(): Promise<[Layer, string][]> {
  identities ??= Promise.all(
    (Object.keys(LAYER_MODULES) as Layer[]).map(async (layer): Promise<[Layer, string]> => {
      const { hash } = await codeIdentity(LAYER_MODULES[layer], { root: PIPELINE });
      return [layer, hash];
    }),
  );
  return identities;
}

/**
 * Identity of the code behind each layer: an artefact made by older code can never be taken for one of today's, and
 * nobody has to remember to raise a number. Of the light-transport kernel it holds the compiled module.
 */
export async function layerVersions(): Promise<Record<Layer, string>> {
  const { kernel } = await buildFiles();
  const withKernel = (hash: string) => sha256(`${hash} ${sha256(readFileSync(kernel))}`).slice(0, 16);
  const versions = (await codeHashes()).map(([layer, hash]) => [
    layer,
    layer === 'film' ? withKernel(hash) : hash,
  ]);
  return Object.fromEntries(versions);
}
