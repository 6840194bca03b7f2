import type { Movie, MovieOrder } from '../page/reader/movie.ts';
import { PICTURE_VERSION } from '../picture/encode.ts';
import { animatedWebp, framePng, movieBitrate, movingFrame } from '../picture/moving.ts';
import type { Print } from '../picture/prints.ts';
import type { MovieOutput, Sku } from '../plan/plan.ts';
import type { CatalogueMovie } from '../publish/catalogue.ts';
import { WHITE_LEVEL } from '../scene/ground.ts';
import { browserScript } from '../store/browser-script.ts';
import type { ContentKey } from '../store/content-key.ts';
import { artefactKey } from '../store/content-key.ts';
import { messagesOf } from '../words/locale.ts';
import { FILM, type TakeWork } from './film.ts';
import { loadFilm } from './film-store.ts';
import type { Kind, Making, Planning, Source } from './kind.ts';
import { subjectsOf, titleOf } from './subject.ts';

/** One file of one band's turntable. */
export interface MovieWork {
  /** content key of its file */
  key: ContentKey;
  /** the turntable's own, without a frame's number */
  shot: string;
  skus: Sku[];
  /** films of its frames in their order */
  films: ContentKey[];
  widthPx: number;
  heightPx: number;
  output: MovieOutput;
}

/** Turntables as one file: an animated picture, or a film by the codecs of the browser that traces. */
export const MOVIE: Kind<MovieWork> = {
  name: 'movie',
  code: ['picture/moving.ts', 'page/reader/movie.ts'],
  plan: planMovies,
  skus: ({ skus }) => skus,
  uses: ({ key }) => [`picture/${key}`],
  from: ({ films }) => films.map((film) => `film/${film}` as const),
  make: makeMovie,
  costs: [{ name: 'movie', label: 'films of turntables', guess: { seconds: 15, bytes: 1.5e6 }, copies: 2 }],
  publish: async (source) => ({ movies: await catalogueMovies(source) }),
};

/** Frames that belong together: those of one turntable that one band is shown in. */
function turntables(takes: readonly TakeWork[]): Omit<MovieWork, 'key' | 'output'>[] {
  const found = new Map<
    string,
    Omit<MovieWork, 'key' | 'output' | 'films'> & { frames: { at: number; film: ContentKey }[] }
  >();
  for (const { take, films } of takes) {
    if (!take.shot.turn) continue;
    const { name, widthPx, heightPx } = take.shot;
    const shot = name.replace(/-\d+$/, '');
    take.colourways.forEach(({ pictures }, i) => {
      const skus = pictures.map(({ sku }) => sku);
      const id = JSON.stringify([shot, skus]);
      const one = found.get(id) ?? { shot, skus, widthPx, heightPx, frames: [] };
      found.set(id, one);
      one.frames.push({ at: take.shot.turn!.frame, film: films[i] });
    });
  }
  return [...found.values()].map(({ frames, ...turntable }) => ({
    ...turntable,
    films: frames.sort((a, b) => a.at - b.at).map(({ film }) => film),
  }));
}

function planMovies({ plan, versions, logos, pieces }: Planning): MovieWork[] {
  const { movies = [], watermark } = plan;
  const mark = watermark && { ...watermark, image: watermark.image && logos.get(watermark.image) };
  return turntables(pieces(FILM)).flatMap((turntable) =>
    movies.map((output): MovieWork => {
      const { films } = turntable;
      const engine = [versions.movie, PICTURE_VERSION];
      const key = artefactKey({ layer: 'picture', engine, movie: films, output, watermark: mark });
      return { key, ...turntable, output };
    }),
  );
}

async function makeMovie({ key, shot, skus, films, output }: MovieWork, making: Making): Promise<void> {
  const { store, watermark, report } = making;
  const start = performance.now();
  const frames: Print[] = [];
  for (const name of films) {
    const film = await loadFilm(store, name);
    // what is gone from the store is traced again in the next round
    if (!film) return;
    frames.push(await movingFrame(film, output.width, WHITE_LEVEL, watermark));
  }
  const { format, seconds, quality } = output;
  const written =
    format === 'webp'
      ? { data: await animatedWebp(frames, seconds, quality) }
      : await writeFilm(frames, { ...output, format }, making);
  if (!('data' in written)) {
    const reason = `no ${format} of ${shot}: the browser that traces cannot write ${written.lacking}. Ask for another format`;
    report({ event: 'warning', message: reason });
    making.fail(skus, reason);
    return;
  }
  const { data } = written;
  await store.put('picture', key, data);
  making.costs.recordPieces('movie', (performance.now() - start) / 1000, data.length);
}

async function writeFilm(
  frames: readonly Print[],
  { format, seconds, quality }: MovieOutput & Pick<MovieOrder, 'format'>,
  making: Making,
): Promise<{ data: Uint8Array } | { lacking: string }> {
  const tracer = await making.tracer();
  if (!tracer.film) return { lacking: format };
  const { width, height } = frames[0];
  const bitrate = movieBitrate(frames[0], frames.length / seconds, quality);
  const order: MovieOrder = { format, width, height, seconds, bitrate, frames: [] };
  for (const frame of frames) order.frames.push((await framePng(frame)).toString('base64'));
  const film = (await tracer.film(await browserScript('page/reader/movie.ts'), 'writeMovie', order)) as Movie;
  return 'lacking' in film ? film : { data: Buffer.from(film.data, 'base64') };
}

/** Films that the store holds, ready to publish. */
async function catalogueMovies({ plan, store, pieces }: Source): Promise<CatalogueMovie[]> {
  const subjects = new Map(subjectsOf(plan).map((s) => [s.sku, s]));
  const found: CatalogueMovie[] = [];
  for (const { key, shot, skus, films, widthPx, heightPx, output } of pieces(MOVIE)) {
    const data = await store.get('picture', key);
    if (!data) continue;
    const width = Math.min(output.width, widthPx);
    const height = Math.max(1, Math.round((heightPx * width) / widthPx));
    const subject = subjects.get(skus[0]);
    const title = subject ? titleOf(subject, messagesOf(plan.language).wording) : skus[0];
    const { format, seconds } = output;
    const file = `movies/${skus[0]}-${shot}-${width}.${format}`;
    found.push({ shot, skus, title, file, format, width, height, frames: films.length, seconds, data });
  }
  return found;
}
