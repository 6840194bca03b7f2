/** Amounts in words, the same in the grid, the facts and the comparison. */
const SPACE = '\u00a0';

export const mm = (value: number, digits = 2) => `${Number(value.toFixed(digits))}${SPACE}mm`;
export const grams = (value: number) => `approx. ${value.toFixed(2)}${SPACE}g`;
export const carats = (value: number) =>
  value < 0.005 ? `less than 0.01${SPACE}ct` : `approx. ${value.toFixed(2)}${SPACE}ct`;

/** Of a file, in units of 1000. */
export function bytes(value: number): string {
  if (value < 1e3) return `${value}${SPACE}B`;
  return value < 1e6
    ? `${Math.round(value / 1e3)}${SPACE}kB`
    : `${Number((value / 1e6).toFixed(1))}${SPACE}MB`;
}

/** A relative address of a file of the folder. */
export const address = (file: string) => file.split('/').map(encodeURIComponent).join('/');
