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
      `“${e.text}”${e.lane === undefined ? '' : ` on ${e.lane}`}, Source Sans ${e.style}, capitals ${mm(e.heightMm)} high, ${mm(e.depthMm)} deep, ${mm(e.lengthMm)} long, middle at θ = ${e.atDeg.toFixed(1)}°`,
    ]),
    ...milgrain.map((m): [string, string] => [
      'milgrain',
      `${m.count} beads Ø ${mm(m.beadMm)} along ${along(m.along)} on ${m.lane}, ${m.pitchMm.toFixed(3)} from middle to middle`,
    ]),
    ...grooves.map((g): [string, string] => [
      'groove',
      `along ${along(g.along)}, ${g.profile === 'v' ? 'V' : 'round'}, ${mm(g.widthMm)} wide, ${mm(g.depthMm)} deep`,
    ]),
  ];
}
