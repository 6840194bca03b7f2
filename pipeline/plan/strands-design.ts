/** Round wires, one for each lane, that run round the band over and under each other in place of lanes side by side. */
export interface StrandsDesign {
  /** twist: wound about the band's middle circle; braid: plaited, each over the next towards the middle and back under it */
  kind: 'twist' | 'braid';
  /** whole turns of a wire about the middle circle, or repeats of the plait, all round the band */
  turns: number;
  /** which way they wind, seen along the band; the one is the other's mirror image */
  hand: 'right' | 'left';
  /** diameter of the wires; the largest or smallest that `between` allows if absent */
  wireMm?: number;
  /** how wires stand to each other where they cross: joined, one over the other's metal by so much, or clear by so much */
  between: { kind: 'joined'; overlapMm: number } | { kind: 'clear'; leastMm: number };
  /** a plain sleeve inside the wires, as wide as the band, to which they are joined by the same overlap: the first lane */
  liner?: LinerDesign;
}

export interface LinerDesign {
  thicknessMm: number;
  /** by which it stands out on both sides of the wires */
  marginMm: number;
  /** softening of its outer edges and of those at the bore */
  edgeMm: number;
}
