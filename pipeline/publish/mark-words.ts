import type { MarkFacts } from '../band/built-shape.ts';

const mm = (x: number) => x.toFixed(2);

/** A band's letters, beads and grooves in words, a name and a line each; lengths in mm. */
export function markLines(marks: MarkFacts | undefined): [string, string][] {
  if (!marks) return [];
  const { engravings, milgrain, grooves } = marks;
  const along = (name: string) => (name === 'edge' ? 'an edge' : `seam ${name}`);
  return [
    ...engravings.map((e): [string, string] => [
      `engraved ${e.side}`,
      `“${e.text}”${e.lane === undefined ? '' : ` on ${e.lane}`}, Source Sans ${e.style}, capitals ${mm(e.heightMm)} high, ${mm(e.depthMm)} deep, walls ${e.wallDeg.toFixed(0)}° off square, ${mm(e.lengthMm)} long, middle at θ = ${e.atDeg.toFixed(1)}°, heads towards the ${e.heads} edge`,
    ]),
    ...gathered(
      milgrain,
      (m) => `${m.count} beads Ø ${mm(m.beadMm)}, ${m.pitchMm.toFixed(3)} from middle to middle`,
      (m) => `along ${along(m.along)} on ${m.lane}`,
    ).map((line): [string, string] => ['milgrain', line]),
    ...gathered(
      grooves,
      (g) => `${g.profile === 'v' ? 'V' : 'round'}, ${mm(g.widthMm)} wide, ${mm(g.depthMm)} deep`,
      (g) => `along ${along(g.along)}`,
    ).map((line): [string, string] => ['groove', line]),
  ];
}

/** A line for all items of one kind, with their places one after the other. */
function gathered<T>(items: readonly T[], kind: (item: T) => string, place: (item: T) => string): string[] {
  const places = new Map<string, string[]>();
  for (const item of items) places.set(kind(item), [...(places.get(kind(item)) ?? []), place(item)]);
  return [...places].map(([what, where]) => `${what}; ${where.join(', ')}`);
}
