/** Lengths of time, sizes and times of the clock as people read them; for texts, not for data. */

/** `95` → `1 min 35 s`. */
export function duration(seconds: number): string {
  const s = Math.max(0, Math.round(seconds));
  if (s < 60) return `${s} s`;
  if (s < 3600) return `${Math.floor(s / 60)} min ${String(s % 60).padStart(2, '0')} s`;
  return `${Math.floor(s / 3600)} h ${String(Math.floor((s % 3600) / 60)).padStart(2, '0')} min`;
}

export function bytes(n: number): string {
  if (n < 1e6) return `${(n / 1e3).toFixed(0)} kB`;
  if (n < 1e9) return `${(n / 1e6).toFixed(1)} MB`;
  return `${(n / 1e9).toFixed(2)} GB`;
}

export function percent(x: number): string {
  return `${(100 * x).toFixed(x < 0.1 ? 1 : 0)} %`;
}

/** `2` and `take` → `2 takes`. */
export function counted(n: number, noun: string): string {
  return `${n} ${noun}${n === 1 ? '' : 's'}`;
}

/** A rate: whole, or with one decimal below ten. */
export function rateWording(rate: number): string {
  return rate.toFixed(rate < 10 ? 1 : 0);
}

const two = (n: number) => String(n).padStart(2, '0');

/** `2026-03-01 07:00`, on this machine's clock. */
export function clockWording(at: Date): string {
  return `${dayWording(at)} ${two(at.getHours())}:${two(at.getMinutes())}`;
}

/** `2026-03-01`, on this machine's clock. */
export function dayWording(at: Date): string {
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
}

/** `07:00:05`, on this machine's clock; without the seconds if they are not wanted. */
export function timeWording(at: Date, seconds: boolean): string {
  return `${two(at.getHours())}:${two(at.getMinutes())}${seconds ? `:${two(at.getSeconds())}` : ''}`;
}
