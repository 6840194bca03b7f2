/**
 * How a panel fades towards its edges. Along each axis, from −1 to 1, it is even and then falls over the last share
 * `falloff` by 3x² − 2x³ to zero; a place shines by the product of both axes. The kernel's `studio.ts` has the same ramp.
 */
export function fade(at: number, falloff: number): number {
  if (falloff <= 0) return 1;
  const x = Math.min(1, Math.max(0, (1 - Math.abs(at)) / falloff));
  return x * x * (3 - 2 * x);
}

/** Mean of the fade from one place to another within [−1, 1], exactly: a cell may be wider than what fades. */
export function meanFade(from: number, to: number, falloff: number): number {
  if (falloff <= 0) return 1;
  return (fadeFromMiddle(to, falloff) - fadeFromMiddle(from, falloff)) / (to - from);
}

/** ∫ fade from 0 to `at`; x³ − x⁴/2 is that of 3x² − 2x³. */
function fadeFromMiddle(at: number, falloff: number): number {
  const away = Math.abs(at);
  const x = Math.min(1, (1 - away) / falloff);
  const even = Math.min(away, 1 - falloff);
  return Math.sign(at) * (even + falloff * (0.5 - (x ** 3 - x ** 4 / 2)));
}
