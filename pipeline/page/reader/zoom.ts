/** A picture that is looked at closely where it stands: pressed, it fills its place two and a half times over. */
import { address } from './amounts.ts';
import { make, signButton } from './element.ts';
import type { DetailPicture } from './page-data.ts';
import { say } from './say.ts';

const TIMES = 2.5;

/** @param large the largest file of the picture, which is fetched when somebody zooms */
export function zoomable(image: HTMLImageElement, large: DetailPicture): HTMLElement {
  const view = make('div', { class: 'view' }, image);
  const toggle = signButton('+', say('zoomIn'), () => show(!tile.classList.contains('zoomed')));
  const tile = make('div', { class: 'tile zoom' }, view, toggle);
  image.draggable = false;
  let from: { x: number; y: number; left: number; top: number; moved: boolean } | undefined;

  function show(near: boolean, at = { x: 0.5, y: 0.5 }): void {
    tile.classList.toggle('zoomed', near);
    toggle.textContent = near ? '−' : '+';
    for (const name of ['aria-label', 'title']) toggle.setAttribute(name, say(near ? 'zoomOut' : 'zoomIn'));
    if (near) magnify(view, image, large, at);
    else {
      view.style.height = '';
      image.style.width = '';
      for (const name of ['tabindex', 'role', 'aria-label']) view.removeAttribute(name);
      toggle.focus({ preventScroll: true });
    }
  }

  tile.addEventListener('keydown', (event) => {
    if (event.key !== 'Escape' || !tile.classList.contains('zoomed')) return;
    // leaves the picture, and not what it stands in
    event.preventDefault();
    event.stopPropagation();
    show(false);
  });
  view.addEventListener('pointerdown', (event) => {
    if (event.button !== 0) return;
    from = { x: event.clientX, y: event.clientY, left: view.scrollLeft, top: view.scrollTop, moved: false };
    // fingers scroll by themselves
    if (event.pointerType === 'mouse' && tile.classList.contains('zoomed'))
      view.setPointerCapture(event.pointerId);
  });
  view.addEventListener('pointermove', (event) => {
    if (!from) return;
    from.moved ||= Math.hypot(event.clientX - from.x, event.clientY - from.y) > 4;
    if (event.pointerType !== 'mouse' || !tile.classList.contains('zoomed')) return;
    view.scrollLeft = from.left - (event.clientX - from.x);
    view.scrollTop = from.top - (event.clientY - from.y);
  });
  view.addEventListener('pointerup', (event) => {
    const still = from && !from.moved;
    from = undefined;
    if (!still) return;
    const box = image.getBoundingClientRect();
    const at = { x: (event.clientX - box.left) / box.width, y: (event.clientY - box.top) / box.height };
    show(!tile.classList.contains('zoomed'), at);
  });
  view.addEventListener('pointercancel', () => (from = undefined));
  return tile;
}

/** Fills the view with the picture about a place of it, given in shares of its width and height. */
function magnify(
  view: HTMLElement,
  image: HTMLImageElement,
  large: DetailPicture,
  at: { x: number; y: number },
): void {
  // keeps the place it has, whatever the picture's size
  const { width, height } = view.getBoundingClientRect();
  view.style.height = `${height}px`;
  image.style.width = `${TIMES * width}px`;
  image.removeAttribute('srcset');
  image.src = address(large.file, large.v);
  view.setAttribute('tabindex', '0');
  view.setAttribute('role', 'group');
  view.setAttribute('aria-label', say('zoomKeys'));
  view.scrollLeft = at.x * image.scrollWidth - width / 2;
  view.scrollTop = at.y * image.getBoundingClientRect().height - height / 2;
  view.focus({ preventScroll: true });
}
