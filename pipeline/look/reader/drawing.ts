/** The unrolled drawing in the page: SVG to scale, with handles for pointer and keyboard. */
import type { AskedEdit, Drawing, Handle } from '../contract.ts';

const SVG = 'http://www.w3.org/2000/svg';
/** Room round the band for the scale, mm. */
const MARGIN = { x: 2, top: 3.4, bottom: 3 };
/** Marks of checks stand below the band, at least this far apart, each with a line to its place, mm. */
const CHECK = { below: 1.9, apart: 1.7 };
/** Of one press of an arrow key, and with Shift, mm. */
const KEY_MM = 0.05;
const LONG_KEY_MM = 0.5;
/** A press of keys ends when none has come for so long, ms. */
const KEYS_END_MS = 350;
/** Less is no move, mm. */
const LEAST_MOVE_MM = 0.02;
export const SIGNS = { failed: '!', note: 'i', waived: '–' } as const;

export function draw(
  tag: string,
  attributes: Record<string, string | number> = {},
  ...inside: (Node | string)[]
): SVGElement {
  const element = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, String(value));
  element.append(...inside);
  return element;
}

export interface DrawingView {
  /** keeps the focus on the handle that has it; without a drawing the last one stays, dimmed */
  show(drawing: Drawing | undefined, readOnly: boolean): void;
}

/** @param ask called once a handle is let go or its keys come to rest */
export function mountDrawing(host: HTMLElement, ask: (change: AskedEdit) => void): DrawingView {
  const figure = document.createElement('figure');
  figure.className = 'unrolled';
  host.replaceChildren(figure);
  return {
    show(drawing, readOnly) {
      figure.classList.toggle('stale', drawing === undefined);
      if (!drawing) return;
      const held = document.activeElement?.getAttribute('data-handle');
      const caption = document.createElement('figcaption');
      const said = [
        drawing.about,
        drawing.note,
        drawing.handles.length > 0 && !readOnly ? drawing.hint : undefined,
      ];
      caption.textContent = said.filter(Boolean).join(' ');
      figure.replaceChildren(picture(drawing, readOnly ? () => undefined : ask, readOnly), caption);
      if (held)
        figure
          .querySelector<SVGElement>(`[data-handle="${CSS.escape(held)}"]`)
          ?.focus({ preventScroll: true });
    },
  };
}

function picture(drawing: Drawing, ask: (change: AskedEdit) => void, readOnly: boolean): SVGElement {
  const { width, height } = drawing;
  const box = [-MARGIN.x, -MARGIN.top, width + 2 * MARGIN.x, height + MARGIN.top + MARGIN.bottom];
  const svg = draw('svg', { viewBox: box.join(' '), role: 'group', 'aria-label': drawing.title });
  const still = draw('g', { 'aria-hidden': 'true' });
  still.append(
    ...drawing.lanes.map(({ metal, outline }) =>
      draw('polygon', { class: `lane lane-${metal % 3}`, points: outline }),
    ),
    ...drawing.lines.map((line) => draw('polyline', { class: 'fine', points: line })),
    ...drawing.seams.map(({ line }) => draw('polyline', { class: 'seam', points: line })),
    ...drawing.stones.map(({ outline }) => draw('polygon', { class: 'stone', points: outline })),
    ...drawing.rounds.map(({ kind, x, y, r }) => draw('circle', { class: kind, cx: x, cy: y, r })),
    draw('path', { class: 'letters', d: drawing.letters }),
    ...drawing.scale.flatMap(({ x, label }) => [
      draw('line', { class: 'tick', x1: x, x2: x, y1: -0.9, y2: -0.3 }),
      draw('text', { x, y: -1.3, 'text-anchor': 'middle' }, label),
    ]),
  );
  const checks = checkMarks(drawing);
  const grips = readOnly ? [] : drawing.handles.map((handle) => grip(handle, drawing, svg, ask));
  svg.append(still, ...checks, ...grips);
  return svg;
}

function checkMarks({ checks, width, height }: Drawing): SVGElement[] {
  const sorted = checks.toSorted((a, b) => a.x - b.x);
  const most = (i: number) => width + MARGIN.x - 1 - (sorted.length - 1 - i) * CHECK.apart;
  let next = -Infinity;
  return sorted.map(({ x, y, state, label }, i) => {
    const at = Math.max(next, Math.min(x - 0.4, most(i)));
    next = at + CHECK.apart;
    const below = height + CHECK.below;
    return draw(
      'g',
      { class: `check ${state}`, role: 'img', 'aria-label': label, tabindex: 0 },
      draw('title', {}, label),
      draw('path', { class: 'lead', d: `M${at} ${below}L${x} ${y}` }),
      draw('circle', { cx: x, cy: y, r: 0.18, class: 'spot' }),
      draw('circle', { cx: at, cy: below, r: 0.75 }),
      draw('text', { x: at, y: below + 0.42, 'text-anchor': 'middle' }, SIGNS[state]),
    );
  });
}

function grip(
  handle: Handle,
  drawing: Drawing,
  svg: SVGElement,
  ask: (change: AskedEdit) => void,
): SVGElement {
  const { id, label, moves, text } = handle;
  const along = moves === 'x';
  const element = draw(
    'g',
    {
      class: `grip ${moves}`,
      'data-handle': id,
      role: 'slider',
      tabindex: 0,
      'aria-label': label,
      'aria-orientation': along ? 'horizontal' : 'vertical',
      'aria-valuemin': 0,
      'aria-valuemax': along ? drawing.width : drawing.height,
      'aria-valuenow': along ? handle.x : handle.y,
      'aria-valuetext': text,
    },
    draw('title', {}, `${label}: ${text}`),
    draw('circle', { class: 'reach', r: 1.1 }),
    draw('path', { class: 'mark', d: MARKS[moves] }),
  );
  let [x, y] = [handle.x, handle.y];
  let rest: ReturnType<typeof setTimeout> | undefined;
  const place = (toX: number, toY: number) => {
    if (moves !== 'y') x = Math.min(drawing.width, Math.max(0, toX));
    if (moves !== 'x') y = toY;
    element.setAttribute('transform', `translate(${x} ${y})`);
    element.setAttribute('aria-valuenow', String(along ? x : y));
  };
  const letGo = () => {
    clearTimeout(rest);
    if (Math.hypot(x - handle.x, y - handle.y) >= LEAST_MOVE_MM) ask({ kind: 'handle', id, x, y });
  };
  place(x, y);
  element.addEventListener('keydown', (event) => {
    const step = event.shiftKey ? LONG_KEY_MM : KEY_MM;
    const way = KEYS[event.key];
    if (event.key === 'Escape') place(handle.x, handle.y);
    if (!way) return;
    event.preventDefault();
    place(x + way[0] * step, y + way[1] * step);
    clearTimeout(rest);
    rest = setTimeout(letGo, KEYS_END_MS);
  });
  followPointer(
    element,
    svg as SVGSVGElement,
    () => [x, y],
    place,
    letGo,
    () => place(handle.x, handle.y),
  );
  return element;
}

const KEYS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

/** A bar across for what moves along, a bar along for what moves across, a cross for both. */
const MARKS = {
  x: 'M-0.16 -0.6h0.32v1.2h-0.32z',
  y: 'M-0.6 -0.16h1.2v0.32h-1.2z',
  xy: 'M-0.15 -0.6h0.3v0.45h0.45v0.3h-0.45v0.45h-0.3v-0.45h-0.45v-0.3h0.45z',
} as const;

function followPointer(
  element: SVGElement,
  svg: SVGSVGElement,
  at: () => [number, number],
  place: (x: number, y: number) => void,
  letGo: () => void,
  back: () => void,
): void {
  const inMm = ({ clientX, clientY }: PointerEvent) =>
    new DOMPoint(clientX, clientY).matrixTransform(svg.getScreenCTM()?.inverse());
  let offset: [number, number] | undefined;
  element.addEventListener('pointerdown', (event) => {
    const [x, y] = at();
    const point = inMm(event);
    offset = [x - point.x, y - point.y];
    element.setPointerCapture(event.pointerId);
    element.focus({ preventScroll: true });
    event.preventDefault();
  });
  element.addEventListener('pointermove', (event) => {
    if (!offset) return;
    const point = inMm(event);
    place(point.x + offset[0], point.y + offset[1]);
  });
  element.addEventListener('pointerup', () => {
    if (offset) letGo();
    offset = undefined;
  });
  element.addEventListener('pointercancel', () => {
    if (offset) back();
    offset = undefined;
  });
}
