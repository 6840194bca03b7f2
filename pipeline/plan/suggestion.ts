/** Optimal string alignment distance: insertions, deletions, substitutions, swaps of neighbours. */
export function editDistance(a: string, b: string): number {
  let before: number[] = [];
  let above = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const same = a[i - 1] === b[j - 1];
      row[j] = Math.min(above[j] + 1, row[j - 1] + 1, above[j - 1] + (same ? 0 : 1));
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1])
        row[j] = Math.min(row[j], before[j - 2] + 1);
    }
    before = above;
    above = row;
  }
  return above[b.length];
}

/** A slip among more names than this is told without the one that was meant. */
const MOST_COMPARED = 2000;

/** The known name nearest to `written`, if it is near enough to be what was meant. */
export function nearestName(written: string, known: Iterable<string>): string | undefined {
  const wanted = written.slice(0, 64).toLowerCase();
  let best: string | undefined;
  let least = Math.max(1, Math.floor(wanted.length / 3)) + 1;
  let compared = 0;
  for (const name of known) {
    if (Math.abs(name.length - wanted.length) >= least) continue;
    if (++compared > MOST_COMPARED) break;
    const distance = editDistance(wanted, name.toLowerCase());
    if (distance < least) {
      least = distance;
      best = name;
    }
  }
  return best;
}

/** Advice for a name that is not known: the nearest one if there is one, else the whole list. */
export function adviseName(written: string, known: readonly string[]): string {
  const near = nearestName(written, known);
  if (near) return `Did you mean "${near}"?`;
  return known.length > 0 ? `Known: ${known.join(', ')}.` : 'None is known here.';
}
