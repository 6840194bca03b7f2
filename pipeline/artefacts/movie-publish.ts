/** Moving pictures that the store holds, with their stills and captions, ready to publish. */
import sharp from 'sharp';
import type { CatalogueMovie } from '../publish/movie-files.ts';
import { webVtt } from '../words/captions.ts';
import { messagesOf } from '../words/locale.ts';
import type { Source } from './kind.ts';
import type { MovieWork } from './movie.ts';
import { subjectsOf, titleOf } from './subject.ts';

export async function catalogueMovies(
  { plan, store }: Source,
  pieces: readonly MovieWork[],
): Promise<CatalogueMovie[]> {
  const subjects = new Map(subjectsOf(plan).map((s) => [s.sku, s]));
  const title = (sku: MovieWork['scene']['skus'][number]) => {
    const subject = subjects.get(sku);
    return subject ? titleOf(subject, messagesOf(plan.language).wording) : sku;
  };
  const found: CatalogueMovie[] = [];
  for (const { key, still, scene, output } of pieces) {
    const [data, picture] = [await store.get('picture', key), await store.get('picture', still)];
    if (!data || !picture) continue;
    const { width, height } = await sharp(picture).metadata();
    const { of, format, seconds, frame } = output;
    const moving = of === 'colourways' ? ['colourways'] : [];
    const parts = [scene.skus[0], scene.shot, ...moving, ...(frame?.name ? [frame.name] : []), width];
    const file = `movies/${parts.join('-')}`;
    const shown = of === 'colourways' ? scene.frames : scene.frames.slice(0, 1);
    const captions = shown.map(({ skus }) => ({ text: title(skus[0]), seconds: seconds / shown.length }));
    found.push({
      of,
      shot: scene.shot,
      skus: scene.skus,
      title: [...new Set(captions.map(({ text }) => text))].join('; '),
      file: `${file}.${format}`,
      format,
      ...(frame?.name ? { frame: frame.name } : {}),
      width,
      height,
      frames: scene.frames.length,
      seconds,
      data,
      still: { file: `${file}.jpg`, data: picture },
      captions: { file: `${file}.vtt`, data: Buffer.from(webVtt(captions)) },
    });
  }
  return found;
}
