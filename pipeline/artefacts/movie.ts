import type { Movie, MovieOrder } from '../page/reader/movie.ts';
import { animatedWebp } from '../picture/animated-webp.ts';
import { cropBox } from '../picture/crop.ts';
import { PICTURE_VERSION } from '../picture/encode.ts';
import {
  crossFaded,
  evenly,
  FADE_RATE,
  framePng,
  type MovingFrame,
  movieBitrate,
  moviePrint,
  stillJpeg,
} from '../picture/moving.ts';
import type { Print } from '../picture/prints.ts';
import type { Bounds } from '../picture/subject-bounds.ts';
import type { MovieOutput } from '../plan/plan.ts';
import { WHITE_LEVEL } from '../scene/ground.ts';
import { browserScript } from '../store/browser-script.ts';
import { artefactKey } from '../store/content-key.ts';
import type { Film } from '../tracer/tracer.ts';
import { loadShown, shownFrom } from './clean-film.ts';
import { loadRecord } from './film-store.ts';
import { framing, refusal } from './framing.ts';
import type { Kind, Making, Planning } from './kind.ts';
import { catalogueMovies } from './movie-publish.ts';
import { type MovieScene, type MovieWork, movieScenes } from './movie-scenes.ts';

/** Turntables, or the colourways of a shot, as one file: an animated picture, or a film by the codecs of the browser that traces. */
export const MOVIE: Kind<MovieWork> = {
  name: 'movie',
  code: ['picture/moving.ts', 'page/reader/movie.ts'],
  plan: planMovies,
  skus: ({ scene }) => scene.skus,
  uses: ({ key, still }) => [`picture/${key}`, `picture/${still}`],
  from: ({ scene }) => [
    ...new Set(scene.frames.flatMap(({ take, shown, colourway }) => shownFrom(take, shown, colourway))),
  ],
  make: makeMovie,
  costs: [{ name: 'movie', label: 'films', guess: { seconds: 15, bytes: 1.5e6 }, copies: 2 }],
  publish: async (source) => ({ movies: await catalogueMovies(source, source.pieces(MOVIE)) }),
};

function planMovies(planning: Planning): MovieWork[] {
  const { plan, versions, logos } = planning;
  const { movies = [], watermark } = plan;
  const mark = watermark && { ...watermark, image: watermark.image && logos.get(watermark.image) };
  return movies.flatMap((output) =>
    movieScenes(planning, output).map((scene): MovieWork => {
      const movie = scene.frames.map(({ shown, colourway }) => shown.films[colourway]);
      const inputs = {
        layer: 'picture',
        engine: [versions.movie, PICTURE_VERSION],
        movie,
        output,
        watermark: mark,
      };
      return { key: artefactKey(inputs), still: artefactKey({ ...inputs, still: 1 }), scene, output };
    }),
  );
}

async function makeMovie({ key, still, scene, output }: MovieWork, making: Making): Promise<void> {
  const { store, report } = making;
  const start = performance.now();
  const refuse = (reason: string) => {
    report({ event: 'warning', message: reason });
    making.fail(scene.skus, reason);
  };
  const prints = await printsOf(scene, output, making);
  // what is gone from the store is traced again in the next round
  if (!prints) return;
  if (prints === 'refused') return refuse(refusal(scene.shot, output.frame?.name ?? ''));
  const { of, seconds, quality } = output;
  const frames = of === 'colourways' ? crossFaded(prints, seconds) : evenly(prints, seconds);
  const written = await encoded(frames, output, making);
  if ('lacking' in written)
    return refuse(
      `no ${output.format} of ${scene.shot}: the browser that traces cannot write ${written.lacking}. Ask for another format`,
    );
  await store.put('picture', still, await stillJpeg(prints[0], quality));
  await store.put('picture', key, written.data);
  making.costs.recordPieces('movie', (performance.now() - start) / 1000, written.data.length);
}

/** What the scene shows, one print after another; undefined if a film is gone, `refused` if the frame cannot be cut. */
async function printsOf(
  { frames }: MovieScene,
  output: MovieOutput,
  making: Making,
): Promise<Print[] | 'refused' | undefined> {
  const prints: Print[] = [];
  let box: Bounds | undefined;
  for (const { take, shown, colourway } of frames) {
    const film = await loadShown(making.store, take, shown, shown.films[colourway], making.signal);
    if (!film) return undefined;
    // a turntable is framed alike in all of its frames
    if (output.frame) box ??= await boxOf(film, frames[0], output.frame, making);
    if (output.frame && !box) return 'refused';
    prints.push(await moviePrint(film, box, output.width, WHITE_LEVEL, making.watermark));
  }
  return prints;
}

async function boxOf(
  { width, height }: Film,
  { take: { take, record } }: MovieScene['frames'][number],
  { aspect, fill, align }: NonNullable<MovieOutput['frame']>,
  making: Making,
): Promise<Bounds | undefined> {
  const { subject, extend = false } = framing((await loadRecord(making.records, record))?.subject, take.shot);
  const { left, top, right, bottom } = subject ?? { left: 0, top: 0, right: 1, bottom: 1 };
  const bounds = { left: left * width, top: top * height, right: right * width, bottom: bottom * height };
  return cropBox({ width, height }, bounds, {
    aspect: aspect[0] / aspect[1],
    fill: { most: fill, least: fill },
    ...(align ? { align } : {}),
    extend,
  });
}

/** The file's bytes, or which codec the browser lacks. */
async function encoded(
  frames: readonly MovingFrame[],
  { of, format, quality }: MovieOutput,
  making: Making,
): Promise<{ data: Uint8Array } | { lacking: string }> {
  if (format === 'webp') return { data: await animatedWebp(frames, quality) };
  const tracer = await making.tracer();
  if (!tracer.film) return { lacking: format };
  const rate = of === 'colourways' ? FADE_RATE : 1 / frames[0].seconds;
  const { width, height } = frames[0].print;
  const bitrate = movieBitrate(frames[0].print, rate, quality);
  const order: MovieOrder = { format, width, height, rate, bitrate, frames: [] };
  for (const { print, seconds } of frames)
    order.frames.push({ png: (await framePng(print)).toString('base64'), seconds });
  const film = (await tracer.film(await browserScript('page/reader/movie.ts'), 'writeMovie', order)) as Movie;
  return 'lacking' in film ? film : { data: Buffer.from(film.data, 'base64') };
}
