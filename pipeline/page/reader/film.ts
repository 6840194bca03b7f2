/** Films of an item: what turns, and what changes its colours, each with a still before it plays and captions. */
import type { DetailMovie } from './page-data.ts';
import { say } from './say.ts';
import { type Tree, tree } from './tree.ts';

export interface MovieFigure {
  label: string;
  title: string;
  picture: Tree;
}

/**
 * Of each film the whole frame rather than one cut out of it, and what can be stopped rather than a moving picture.
 * @param at address of a file as seen from the page
 */
export function filmsOf(
  movies: readonly DetailMovie[],
  language: string,
  at: (file: string, v?: string) => string,
): MovieFigure[] {
  const kinds = [...new Set(movies.map((m) => `${m.of} ${m.shot}`))];
  return kinds.map((kind) => {
    const all = movies.filter((m) => `${m.of} ${m.shot}` === kind);
    const frame = all.some((m) => m.frame === undefined) ? undefined : all[0].frame;
    const files = all.filter((m) => m.frame === frame);
    const films = files.filter((m) => m.format !== 'webp');
    const [{ of, title, width, height }] = files;
    const label = say(of === 'colourways' ? 'filmOfColours' : 'film');
    const size = { width, height };
    if (films.length === 0)
      return {
        label,
        title,
        picture: tree('img', { src: at(files[0].file, files[0].v), ...size, alt: title, loading: 'lazy' }),
      };
    const [{ still, captions }] = films;
    const shown = { controls: '', loop: '', muted: '', playsinline: '', preload: 'none', ...size };
    return {
      label,
      title,
      picture: tree(
        'video',
        { ...shown, poster: at(still.file, still.v), 'aria-label': title },
        ...films.map((m) => tree('source', { src: at(m.file, m.v), type: `video/${m.format}` })),
        tree('track', {
          kind: 'captions',
          src: at(captions.file, captions.v),
          srclang: language.slice(0, 2),
          label: say('captions'),
        }),
      ),
    };
  });
}
