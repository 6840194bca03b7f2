import type { Sample } from './growth.ts';

const W = 900;
const H = 420;
const [LEFT, RIGHT, TOP, BOTTOM] = [70, 20, 30, 50];

/** Memory over takes as a drawing: Node and browser, one line each. */
export function curve(samples: readonly Sample[]): string {
  const takes = Math.max(1, ...samples.map((s) => s.takes));
  const most = Math.ceil(Math.max(1e8, ...samples.map((s) => Math.max(s.node, s.browser))) / 1e8) * 100;
  const x = (n: number) => LEFT + ((W - LEFT - RIGHT) * n) / takes;
  const y = (mb: number) => H - BOTTOM - ((H - TOP - BOTTOM) * mb) / most;
  const line = (of: 'node' | 'browser', colour: string) =>
    `<polyline fill="none" stroke="${colour}" stroke-width="1.5" points="${samples
      .map((s) => `${x(s.takes).toFixed(1)},${y(s[of] / 1e6).toFixed(1)}`)
      .join(' ')}"/>`;
  const grid = Array.from({ length: most / 100 + 1 }, (_, i) => 100 * i)
    .map(
      (mb) =>
        `<path d="M${LEFT} ${y(mb).toFixed(1)}H${W - RIGHT}" stroke="#ddd"/><text x="${LEFT - 8}" y="${(y(mb) + 4).toFixed(1)}" text-anchor="end">${mb} MB</text>`,
    )
    .join('');
  const ticks = [0, 0.25, 0.5, 0.75, 1]
    .map((f) => Math.round(f * takes))
    .map((n) => `<text x="${x(n).toFixed(1)}" y="${H - BOTTOM + 20}" text-anchor="middle">${n}</text>`)
    .join('');
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${W} ${H}" width="${W}" height="${H}" font-family="sans-serif" font-size="12">
<rect width="${W}" height="${H}" fill="#fff"/>${grid}${ticks}
<text x="${(LEFT + W - RIGHT) / 2}" y="${H - 10}" text-anchor="middle">takes done</text>
${line('node', '#7a5c00')}${line('browser', '#1f5fa8')}
<text x="${W - RIGHT - 70}" y="18" text-anchor="end" fill="#7a5c00">Node</text><text x="${W - RIGHT}" y="18" text-anchor="end" fill="#1f5fa8">browser</text>
</svg>
`;
}
