import type { MarkFacts } from '../band/built-shape.ts';
import type { LetterStyle } from '../plan/engraving-design.ts';
import { angleWords } from './angle-words.ts';
import { type Locale, localeOf } from './locale.ts';

/** A band's letters, beads and grooves in words, a name and a line each; lengths in mm. */
export function markLines(marks: MarkFacts | undefined, locale: Locale = localeOf('en')): [string, string][] {
  if (!marks) return [];
  const say = locale.messages.bench.markWords;
  const mm = (x: number) => locale.number(x, 2);
  const { engravings, milgrain, grooves } = marks;
  const seamOf = (name: string) => (name === 'edge' ? undefined : name);
  return [
    ...engravings.map((e): [string, string] => [
      say.engraved[e.side],
      [
        say.text(e.text, e.lane),
        say.font[e.style as LetterStyle],
        say.capitals(mm(e.heightMm)),
        say.deep(mm(e.depthMm)),
        say.walls(`${locale.number(e.wallDeg, 0)}°`),
        say.long(mm(e.lengthMm)),
        say.middleAt(angleWords((e.atDeg * Math.PI) / 180, locale)),
        say.heads[e.heads],
      ].join(', '),
    ]),
    ...gathered(
      milgrain,
      (m) => say.beads(m.count, mm(m.beadMm), locale.number(m.pitchMm, 3)),
      (m) => say.along(seamOf(m.along), m.lane),
    ).map((line): [string, string] => [say.milgrain, line]),
    ...gathered(
      grooves,
      (g) => [say.grooveProfile[g.profile], say.wide(mm(g.widthMm)), say.deep(mm(g.depthMm))].join(', '),
      (g) => say.along(seamOf(g.along)),
    ).map((line): [string, string] => [say.groove, line]),
  ];
}

/** A line for all items of one kind, with their places one after the other. */
function gathered<T>(items: readonly T[], kind: (item: T) => string, place: (item: T) => string): string[] {
  const places = new Map<string, string[]>();
  for (const item of items) places.set(kind(item), [...(places.get(kind(item)) ?? []), place(item)]);
  return [...places].map(([what, where]) => `${what}; ${where.join(', ')}`);
}
