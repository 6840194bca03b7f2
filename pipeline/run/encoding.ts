import pLimit from 'p-limit';
import { encodePictures } from '../picture/encode.ts';
import { PROOF } from '../plan/client-plan.ts';
import type { ImageOutput, ShotPlan } from '../plan/plan.ts';
import { WHITE_LEVEL } from '../scene/ground.ts';
import { framing, refusal } from './framing.ts';
import type { Job } from './job.ts';
import { encodeBundle } from './picture-bundle.ts';
import { loadFilm, loadRecord } from './take-run.ts';
import type { PictureWork, TakeWork } from './work.ts';

/** No proof shows the frames of a turntable. */
export function imagesOf(images: readonly ImageOutput[], { turn }: ShotPlan): readonly ImageOutput[] {
  return turn ? images.filter(({ name }) => name !== PROOF) : images;
}

/** Encodes pictures from stored films, beside the tracer. */
export class Encoding {
  readonly #job: Job;
  readonly #limit = pLimit(2);
  readonly #running: Promise<void>[] = [];
  readonly #refusals = new Set<string>();
  #fault: { error: unknown } | undefined;

  constructor(job: Job) {
    this.#job = job;
  }

  /** @throws what an earlier one failed with, so that a full disk is not found out only after the last take */
  begin(work: TakeWork, picture: PictureWork): void {
    if (this.#fault) throw this.#fault.error;
    const run = this.#limit(() => this.#encode(work, picture));
    // it may fail while a take is traced and nobody waits for it
    run.catch((error) => {
      this.#fault ??= { error };
    });
    this.#running.push(run);
  }

  /** Resolves when all that was begun is stored; rejects with the first that failed. */
  async done(): Promise<void> {
    await Promise.all(this.#running);
  }

  /** Resolves when nothing runs any more, whatever came of it. */
  async settled(): Promise<void> {
    await Promise.allSettled(this.#running);
  }

  async #encode(work: TakeWork, { key, colourway, title, alt }: PictureWork): Promise<void> {
    if (this.#job.options.signal.aborted) return;
    const start = performance.now();
    const { store, watermark, ownWatermarks, work: all } = this.#job.place;
    const { plan } = all;
    const film = await loadFilm(store, work.films[colourway]);
    // a film that is damaged is gone from the store now: the next round traces it again
    if (!film) return;
    const matte = work.matte && (await loadFilm(store, work.matte));
    if (work.matte && !matte) return;
    const { shot } = work.take;
    const subject = (await loadRecord(store, work.record))?.subject;
    const images = await encodePictures(film, imagesOf(plan.images, shot), {
      ...framing(subject, shot),
      onRefused: ({ frame }) => this.#refused(refusal(shot.name, frame?.name ?? '')),
      white: WHITE_LEVEL,
      matte: matte || undefined,
      watermark,
      // the index shows one picture of a turntable
      thumbnail: !shot.turn?.angle,
      ownWatermarks,
      metadata: { title, alt, credit: plan.credit },
    });
    const bundle = encodeBundle(images);
    await store.put('picture', key, bundle);
    this.#job.options.report({
      event: 'encoded',
      take: work.take.id,
      files: images.length,
      bytes: bundle.length,
      seconds: (performance.now() - start) / 1000,
    });
  }

  /** Once for all pictures that it befalls. */
  #refused(message: string): void {
    if (this.#refusals.has(message)) return;
    this.#refusals.add(message);
    this.#job.options.report({ event: 'warning', message });
  }
}
