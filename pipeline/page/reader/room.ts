/**
 * A band in the reader's own room, where the browser offers it: a link of type `ar` whose one child is a picture, by
 * the convention of browsers on phones that show USDZ. Elsewhere the file stands among the others, to be downloaded.
 */
import { address } from './amounts.ts';
import { make } from './element.ts';
import { bandHeading } from './facts.ts';
import type { ItemDetail } from './page-data.ts';
import { shownShots, smallest } from './pictures.ts';
import { say } from './say.ts';

export function roomLinks(item: ItemDetail): HTMLElement[] {
  if (!document.createElement('a').relList.supports('ar')) return [];
  const [shot] = shownShots(item);
  const face = shot && smallest(shot);
  if (!face) return [];
  return item.bands.flatMap((band, i) => {
    const usdz = band.ownModels?.find((m) => m.format === 'usdz');
    if (!usdz) return [];
    const called = item.bands.length > 1 ? `${say('inRoom')}: ${bandHeading(band, i)}` : say('inRoom');
    const picture = make('img', { src: address(face.file, face.v), alt: called });
    const link = make('a', { rel: 'ar', href: address(usdz.file), type: 'model/vnd.usdz+zip' }, picture);
    return [make('figure', { class: 'room' }, link, make('figcaption', {}, called))];
  });
}
