import { make } from '../../page/reader/element.ts';
import type { Problem } from '../../problem.ts';
import { word } from './page-words.ts';

/** Problems with their places, as a reader mends them. */
export function problemList(heading: string, problems: readonly Problem[]): HTMLElement {
  return make(
    'section',
    { class: 'problems' },
    make('h2', {}, heading),
    make('ul', {}, ...problems.map((p) => make('li', {}, ...told(p)))),
  );
}

/** In English on every page, as on the command line. */
function told({ place, path, expected, received, advice }: Problem): (Node | string)[] {
  const what = [
    make('p', { lang: 'en' }, `${path}: expected ${expected} but received ${received}.`),
    make('p', { lang: 'en', class: 'advice' }, advice),
  ];
  if (!place) return what;
  const { file, line, column } = place;
  return [
    make('p', { class: 'place', title: file }, word('atPlace', { file: nameOf(file), line, column })),
    ...what,
  ];
}

/** A file's name without its folders. */
export const nameOf = (file: string) => file.split(/[\\/]/).at(-1) ?? file;
