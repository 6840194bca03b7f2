type Group<P> = (piece: P) => readonly string[];

const MADE = new WeakMap<readonly unknown[], Map<unknown, Map<string, unknown[]>>>();

/** Pieces by names of theirs, worked out once for a list: a plan of a hundred thousand bands asks for each of them. */
export function grouped<P>(pieces: readonly P[], names: Group<P>): ReadonlyMap<string, readonly P[]> {
  const made = MADE.get(pieces) ?? new Map<unknown, Map<string, unknown[]>>();
  MADE.set(pieces, made);
  const ready = made.get(names) as Map<string, P[]> | undefined;
  if (ready) return ready;
  const groups = new Map<string, P[]>();
  for (const piece of pieces)
    for (const name of new Set(names(piece))) {
      const group = groups.get(name) ?? [];
      groups.set(name, group);
      group.push(piece);
    }
  made.set(names, groups);
  return groups;
}
