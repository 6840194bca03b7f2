import type { Tree } from './tree.ts';

/** Makes an element. Text goes in as text nodes only, so that nothing from a catalogue is ever read as markup. */
export function make<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  attributes: Record<string, string | number> = {},
  ...children: (Node | string | undefined)[]
): HTMLElementTagNameMap[K] {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, String(value));
  element.append(...(children.filter((child) => child !== undefined && child !== '') as (Node | string)[]));
  return element;
}

const SVG = 'http://www.w3.org/2000/svg';
const DRAWN = new Set(['svg', 'circle', 'path']);

/** An element of a tree, by the same rule. */
export function grow({ tag, attributes, children }: Tree): HTMLElement {
  const element = DRAWN.has(tag) ? document.createElementNS(SVG, tag) : document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, String(value));
  element.append(...children.map((child) => (typeof child === 'string' ? child : grow(child))));
  return element as HTMLElement;
}

export function button(
  label: string,
  onClick: () => void,
  attributes: Record<string, string> = {},
): HTMLButtonElement {
  const made = make('button', { type: 'button', ...attributes }, label);
  made.addEventListener('click', onClick);
  return made;
}

/** A button that shows a sign; `label` is what it is called. */
export function signButton(sign: string, label: string, onClick: () => void): HTMLButtonElement {
  return button(sign, onClick, { 'aria-label': label, title: label, class: 'sign' });
}
