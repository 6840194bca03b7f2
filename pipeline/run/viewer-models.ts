import { withoutDraco } from '../model/glb.ts';
import { ArtefactLost, type ArtefactStore } from '../store/artefact-store.ts';
import type { ModelWork } from './work.ts';

/**
 * A model as the page's viewer takes it. Draco's codec needs a second or so for each, so what came of it is kept; other
 * models are as the store has them.
 * @throws ArtefactLost if the model is no longer there
 */
export async function viewerModel(store: ArtefactStore, { key, viewerKey }: ModelWork): Promise<Uint8Array> {
  const kept = viewerKey && (await store.get('model', viewerKey));
  if (kept) return kept;
  const glb = await store.get('model', key);
  if (!glb) throw new ArtefactLost(`model ${key} left the store while it was being published`);
  if (!viewerKey) return glb;
  const made = await withoutDraco(glb);
  await store.put('model', viewerKey, made);
  return made;
}
