import type { ArtefactName, ArtefactStore } from '../store/artefact-store.ts';
import type { ContentKey } from '../store/content-key.ts';

/** Small ones: facts of a few hundred shapes take some megabytes. */
const KEEP = 4000;

/**
 * What is told of artefacts, read from the store once: facts, takes' records, the heads of bundles without their files.
 * Each is checked against its hash when it is read. The ones used last are kept.
 */
export class Records {
  readonly #store: ArtefactStore;
  readonly #read = new Map<ArtefactName, unknown>();

  constructor(store: ArtefactStore) {
    this.#store = store;
  }

  /** Undefined if it is absent or damaged; then it is asked for again the next time. `T` must go with the drawer's key. */
  async get<T extends object>(
    drawer: string,
    key: ContentKey,
    decode: (bytes: Uint8Array) => T,
  ): Promise<T | undefined> {
    const name: ArtefactName = `${drawer}/${key}`;
    const kept = this.#read.get(name) as T | undefined;
    if (kept) {
      this.#read.delete(name);
      this.#read.set(name, kept);
      return kept;
    }
    const bytes = await this.#store.get(drawer, key);
    if (!bytes) return undefined;
    const record = decode(bytes);
    this.#read.set(name, record);
    const oldest = this.#read.keys().next().value;
    if (this.#read.size > KEEP && oldest !== undefined) this.#read.delete(oldest);
    return record;
  }

  /** What was read may have left the store since. */
  clear(): void {
    this.#read.clear();
  }
}
