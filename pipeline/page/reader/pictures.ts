/** Which files of a shot to show where. */
import { address } from './amounts.ts';
import { make } from './element.ts';
import type { DetailPicture, DetailShot, ItemDetail } from './page-data.ts';

/** What a shot's pictures show of it: all (the empty name), then frames by name. Files of named outputs have no part. */
export function framesShown({ pictures }: DetailShot): string[] {
  const own = pictures.filter((p) => p.role === 'picture' || (p.frame && !p.name));
  const names = new Set(own.map((p) => p.frame ?? ''));
  return [...names].sort((a, b) => Number(a !== '') - Number(b !== ''));
}

/**
 * The catalogue's own pictures of the first format, narrowest first.
 * @param frame the whole picture, or the first frame if there is none, unless given
 */
export function ownPictures(shot: DetailShot, frame = framesShown(shot)[0]): DetailPicture[] {
  const own = shot.pictures.filter(
    (p) => p.role !== 'thumbnail' && !p.name && frame !== undefined && (p.frame ?? '') === frame,
  );
  return own.filter((p) => p.format === own[0].format).sort((a, b) => a.width - b.width);
}

export function largest(shot: DetailShot, frame?: string): DetailPicture | undefined {
  return ownPictures(shot, frame).at(-1);
}

/** Small enough for a row of choices. */
export function smallest(shot: DetailShot): DetailPicture | undefined {
  return shot.pictures.find((p) => p.role === 'thumbnail') ?? ownPictures(shot)[0];
}

/** The shots that stand for themselves: of a turntable only the first frame. */
export function shownShots(item: ItemDetail): DetailShot[] {
  return item.shots.filter((s) => ownPictures(s).length > 0 && (!s.turn || s.turn.frame === 1));
}

/** The frames that follow a turntable's first. */
export function framesOf(item: ItemDetail, first: DetailShot): DetailShot[] {
  const at = item.shots.indexOf(first);
  return item.shots.slice(at, at + (first.turn?.of ?? 1));
}

/** What a shot is called among an item's; the config's name tells apart those that show the same. */
export function shotName(shot: DetailShot, item: ItemDetail): string {
  if (shot.turn) return shot.label.replace(/, \D+\d+\D+\d+$/, '');
  const alike = item.shots.filter((s) => s.label === shot.label);
  const plain = shot.label.toLowerCase().replaceAll(' ', '-').startsWith(shot.name);
  return alike.length > 1 && !plain ? `${shot.label}, ${shot.name}` : shot.label;
}

/** @param sizes as of the HTML attribute: how wide it will stand */
export function picture(item: ItemDetail, shot: DetailShot, sizes: string, frame?: string): HTMLImageElement {
  const files = ownPictures(shot, frame);
  const large = files[files.length - 1];
  return make('img', {
    src: address(large.file, large.v),
    srcset: files.map((p) => `${address(p.file, p.v)} ${p.width}w`).join(', '),
    sizes,
    width: large.width,
    height: large.height,
    alt: shot.alt ?? `${item.title}, ${shot.label}`,
  });
}
