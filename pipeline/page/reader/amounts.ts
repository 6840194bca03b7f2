/** Amounts in words, the same in the grid, the facts and the comparison. */
import { figure, readsInches, say } from './say.ts';

const SPACE = '\u00a0';

const MM_PER_INCH = 25.4;

export function mm(value: number, digits = 2): string {
  const inches = readsInches() ? ` (${figure(value / MM_PER_INCH, 3)}${SPACE}in)` : '';
  return `${figure(value, 0, digits)}${SPACE}mm${inches}`;
}
export const grams = (value: number) => say('approx', { amount: `${figure(value, 2)}${SPACE}g` });
export const carats = (value: number) =>
  value < 0.005
    ? say('lessThan', { amount: `${figure(0.01, 2)}${SPACE}ct` })
    : say('approx', { amount: `${figure(value, 2)}${SPACE}ct` });

/** Of a file, in units of 1000. */
export function bytes(value: number): string {
  if (value < 1e3) return `${value}${SPACE}B`;
  return value < 1e6 ? `${figure(value / 1e3, 0)}${SPACE}kB` : `${figure(value / 1e6, 0, 1)}${SPACE}MB`;
}

/** A relative address of a file of the folder; `v` is the stamp of its content. */
export const address = (file: string, v?: string) =>
  file.split('/').map(encodeURIComponent).join('/') + (v ? `?v=${v}` : '');
