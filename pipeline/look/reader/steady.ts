/** Changes of the page that leave what a reader's hand is on where it is, though something above it comes or goes. */

/** Height at which a page is read, of the window's; messages end above it. */
const READ = 0.6;

let pointer: { x: number; y: number } | undefined;
/** or else the pointer was */
let keysWereLast = true;

for (const kind of ['pointermove', 'pointerdown'] as const) {
  const moved = ({ clientX, clientY }: PointerEvent) => {
    pointer = { x: clientX, y: clientY };
    keysWereLast = false;
  };
  document.addEventListener(kind, moved, { capture: true, passive: true });
}
document.documentElement.addEventListener('pointerleave', () => {
  pointer = undefined;
});
addEventListener(
  'keydown',
  () => {
    keysWereLast = true;
  },
  { capture: true, passive: true },
);

/**
 * Scrolls by as much as the change moves what has the focus, or what the pointer is over, whichever was used last. Where
 * the top of the page leaves too little to scroll, the box keeps that much room until its next change.
 *
 * @param box where messages come and go; it sticks to the top of the window
 */
export function steadily(box: HTMLElement, change: () => void): void {
  const tops = withParents(underHand(box)).map((element) => ({ element, top: topOf(element) }));
  box.style.minHeight = '';
  change();
  const held = heldStill(tops);
  if (held) {
    const gone = () => topOf(held.element) - held.top;
    scrollAtOnce(gone());
    const short = -gone();
    // windows scroll by whole pixels
    if (short >= 1) box.style.minHeight = `${box.offsetHeight + short}px`;
  }
  if (keysWereLast) uncoverFocus(box);
}

interface Held {
  element: Element;
  top: number;
}

/** What is drawn anew is another element: that of the same id, or else the nearest parent that stayed. */
function heldStill([first, ...parents]: readonly Held[]): Held | undefined {
  if (!first || first.element.isConnected) return first;
  const stayed = parents.find(({ element }) => element.isConnected);
  const { id } = first.element;
  const anew = id ? stayed?.element.querySelector(`#${CSS.escape(id)}`) : undefined;
  return anew ? { element: anew, top: first.top } : stayed;
}

/** Or else what is being read; undefined at the top of a page that nobody has touched. */
function underHand(box: HTMLElement): Element | undefined {
  const pointed = pointer && document.elementFromPoint(pointer.x, pointer.y);
  const hands = keysWereLast ? [focused(), pointed] : [pointed, focused()];
  const read = scrollY > 0 ? document.elementFromPoint(innerWidth / 2, READ * innerHeight) : undefined;
  return [...hands, read].find(
    (element): element is Element => !!element && inWindow(element) && !box.contains(element),
  );
}

function focused(): Element | null {
  return document.activeElement === document.body ? null : document.activeElement;
}

function inWindow(element: Element): boolean {
  const { top, bottom } = element.getBoundingClientRect();
  return bottom > 0 && top < innerHeight;
}

function withParents(element: Element | null | undefined): Element[] {
  return element ? [element, ...withParents(element.parentElement)] : [];
}

/** A message never hides what the keyboard is at (WCAG 2.2, 2.4.11). */
function uncoverFocus(box: HTMLElement): void {
  const at = focused()?.getBoundingClientRect();
  const over = box.getBoundingClientRect();
  if (!at || box.childNodes.length === 0 || at.right <= over.left || at.left >= over.right) return;
  if (at.top < over.bottom && at.bottom > over.top) scrollAtOnce(at.top - over.bottom);
}

const topOf = (element: Element) => element.getBoundingClientRect().top;
const scrollAtOnce = (top: number) => scrollBy({ top, behavior: 'instant' });
