import { escapeHtml } from '../words/html.ts';

/** Parts of drawings as SVG whose unit is one millimetre of paper. */

export const n = (x: number) => String(Number(x.toFixed(3)));

export function svg(width: number, height: number, body: string): string {
  return `<svg xmlns="http://www.w3.org/2000/svg" width="${n(width)}mm" height="${n(height)}mm" viewBox="0 0 ${n(width)} ${n(height)}">${body}</svg>`;
}

export function drawnText(x: number, y: number, words: string, anchor = 'middle', turn = ''): string {
  return `<text x="${n(x)}" y="${n(y)}" text-anchor="${anchor}"${turn}>${escapeHtml(words)}</text>`;
}

export function line(x1: number, y1: number, x2: number, y2: number, kind: string): string {
  return `<line class="${kind}" x1="${n(x1)}" y1="${n(y1)}" x2="${n(x2)}" y2="${n(y2)}"/>`;
}

/** mm, of the texts of drawings in the sheet's style. */
const TEXT = 2.5;

/** The number of a stone inside its outline. */
export function tag(x: number, y: number, number: number, room: number): string {
  const size = Math.min(1.4, 0.5 * room);
  // scaled, since the style of all texts goes before an attribute and the page's policy takes no style in the markup
  const place = `translate(${n(x)} ${n(y + 0.35 * size)}) scale(${n(size / TEXT)})`;
  return `<text class="tag" transform="${place}" text-anchor="middle">${number}</text>`;
}
