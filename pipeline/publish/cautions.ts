/**
 * What is said to every reader of a catalogue. General; alloys and stones add their own.
 */
export const CAUTIONS: readonly string[] = [
  'Pictures are computer renderings, shown larger than life. True sizes in millimetres stand beside them. A finished ring may differ in colour and detail.',
  'Stone weights are approximate totals computed from the cut and density. Weigh the stones before stating a weight.',
  'Metal masses are computed from the model before polishing and setting; the finished ring is usually lighter.',
  'Some white metals contain nickel, to which many people react. Ask for the alloy’s composition, have the finished ring tested, and follow local limits on nickel release.',
  'Hallmarking and the wording allowed for metals and stones differ by country. Local rules come first; ask your assay office or a qualified professional before offering a piece for sale.',
  'The checks cover common bench practice, not every risk. Check every piece with the bench before making it.',
];
