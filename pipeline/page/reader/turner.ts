/** A turntable: its frames one after the other, by dragging, by a slider, or by arrow keys on the slider. */

import { address } from './amounts.ts';
import { make } from './element.ts';
import type { DetailShot, ItemDetail } from './page-data.ts';
import { framesOf, largest, picture } from './pictures.ts';
import { say } from './say.ts';

export function turner(item: ItemDetail, first: DetailShot, sizes: string): HTMLElement[] {
  const frames = framesOf(item, first);
  const image = picture(item, first, sizes);
  const files = frames.map((frame) => {
    const large = largest(frame);
    return large ? address(large.file, large.v) : '';
  });
  // frames that come while one drags would show the band standing still
  const kept = files.map((file) => {
    const ahead = new Image();
    ahead.src = file;
    return ahead;
  });
  const slider = make('input', {
    type: 'range',
    min: 1,
    max: frames.length,
    value: 1,
    'aria-label': say('turn'),
  });
  const show = (frame: number) => {
    const at = ((frame % frames.length) + frames.length) % frames.length;
    slider.value = String(at + 1);
    slider.setAttribute('aria-valuetext', say('degrees', { n: Math.round((360 * at) / frames.length) }));
    image.removeAttribute('srcset');
    image.src = kept[at].src;
    image.alt = frames[at].alt ?? `${item.title}, ${frames[at].label}`;
  };
  slider.addEventListener('input', () => show(Number(slider.value) - 1));
  // at the end the band goes on turning
  slider.addEventListener('keydown', (event) => {
    const step = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[event.key];
    if (!step) return;
    event.preventDefault();
    show(Number(slider.value) - 1 + step);
  });

  const tile = make('div', { class: 'tile turn' }, image);
  image.draggable = false;
  let from: { x: number; frame: number } | undefined;
  tile.addEventListener('pointerdown', (event) => {
    if (event.button !== 0) return;
    from = { x: event.clientX, frame: Number(slider.value) - 1 };
    tile.setPointerCapture(event.pointerId);
  });
  tile.addEventListener('pointermove', (event) => {
    // once across the picture is once round
    if (from) show(from.frame + Math.round(((event.clientX - from.x) / tile.clientWidth) * frames.length));
  });
  for (const end of ['pointerup', 'pointercancel']) tile.addEventListener(end, () => (from = undefined));
  return [tile, make('p', { class: 'hint' }, slider, make('span', {}, say('drag')))];
}
