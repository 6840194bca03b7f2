import type { ArtefactStore } from '../store/artefact-store.ts';
import type { TakeWork } from './film.ts';

/**
 * Why a take is left alone. It is kept under the key of the take's record, which holds config and code: whatever could
 * mend the take gives it another key, and it is tried again by itself.
 */
export interface Quarantine {
  reason: string;
  attempts: number;
}

export async function putInQuarantine(
  store: ArtefactStore,
  { record }: TakeWork,
  why: Quarantine,
): Promise<void> {
  await store.put('fault', record, Buffer.from(`${JSON.stringify(why)}\n`));
}

export async function quarantineOf(
  store: ArtefactStore,
  { record }: TakeWork,
): Promise<Quarantine | undefined> {
  const bytes = await store.get('fault', record);
  return bytes && (JSON.parse(Buffer.from(bytes).toString('utf8')) as Quarantine);
}

export async function leaveQuarantine(store: ArtefactStore, { record }: TakeWork): Promise<void> {
  await store.remove('fault', record);
}

/** `tried 3 times: …` */
export function quarantineWording({ reason, attempts }: Quarantine): string {
  return `in quarantine, tried ${attempts} times: ${reason}`;
}
