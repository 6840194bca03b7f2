import { escapeHtml } from '../words/html.ts';
import type { Tree } from './reader/tree.ts';

const VOID = new Set(['img', 'input', 'br', 'link', 'meta', 'circle', 'path', 'source']);

/** Text and attributes are escaped; nothing in a tree is ever read as markup. */
export function toHtml({ tag, attributes, children }: Tree): string {
  const pairs = Object.entries(attributes).map(([name, value]) => {
    return value === '' ? ` ${name}` : ` ${name}="${escapeHtml(String(value))}"`;
  });
  const inside = children.map((c) => (typeof c === 'string' ? escapeHtml(c) : toHtml(c))).join('');
  return `<${tag}${pairs.join('')}>${VOID.has(tag) ? '' : `${inside}</${tag}>`}`;
}
