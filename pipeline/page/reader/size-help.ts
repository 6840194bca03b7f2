/** What a ring size is and how one is measured, beside the sizes themselves. */
import { say } from './say.ts';
import { type Tree, tree } from './tree.ts';

export function sizeHelp(): Tree {
  return tree(
    'details',
    { class: 'help' },
    tree('summary', {}, say('sizeHelp')),
    tree('p', {}, say('sizeWhat')),
    tree(
      'ol',
      {},
      ...(['sizeByGauge', 'sizeByRing', 'sizeByDay'] as const).map((key) => tree('li', {}, say(key))),
    ),
    tree('p', {}, say('sizeWide')),
    tree('p', {}, say('sizePaper')),
  );
}
