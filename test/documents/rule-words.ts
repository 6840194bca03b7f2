import type { BenchRuleName } from '../../pipeline/trade/bench-limits.ts';

/** What each rule is about and how a band is cured that breaks it, for whoever reads a failed check. */
export const RULE_WORDS: Record<BenchRuleName, { about: string; cure: string }> = {
  'template-limits': {
    about: 'What a template lets be chosen was chosen within its limits; beyond them a config is refused.',
    cure: 'Nothing is to be cured: choose another value, or change the limits under `let`.',
  },
  'band-thickness': {
    about: 'A thin band bends in wear.',
    cure: 'Raise `thickness`, or give a concave section less `dome`.',
  },
  'band-width': { about: 'A very narrow band bends and cuts into the finger.', cure: 'Raise `width`.' },
  'cast-wall': {
    about: 'Metal too thin at a lane’s side does not fill in casting.',
    cure: 'Raise `thickness`; lower `recess`, `dome`, `comfort` or the depth of hammer marks and facets.',
  },
  'least-lane-width': {
    about: 'A narrow lane fails in casting and in fitting.',
    cure: 'Move its seams apart, lower a wave’s `amplitude`, or raise `width`.',
  },
  'inlay-floor': {
    about: 'The bed beneath an inlay carries the ring.',
    cure: 'Lower `inlay.depth` or raise `thickness`.',
  },
  'inlay-metal': {
    about: 'A thin inlay lifts and wears through.',
    cure: 'Raise `inlay.depth` or lower the lane’s `recess`.',
  },
  'edge-softening': {
    about: 'Sharp edges cut, dent and do not cast cleanly.',
    cure: 'Raise `edge`, `bore-edge`, `soften` or the `round` of ridge and bevel.',
  },
  'girdle-gap': {
    about: 'Stones that touch chip each other.',
    cure: 'Raise `least-gap`; the row takes fewer stones.',
  },
  'wall-beside-seat': {
    about: 'The metal beside a stone holds it and must survive polishing.',
    cure: 'A wider lane, smaller stones, or a smaller `dome`.',
  },
  'floor-under-culet': {
    about: 'A culet that reaches the finger scratches and breaks.',
    cure: 'Raise `thickness`, set stones higher, or choose smaller ones.',
  },
  'claw-diameter': {
    about: 'Thin claws bend, wear through and lose stones.',
    cure: 'Raise `claw-diameter`, or choose smaller stones.',
  },
  'claw-bite': {
    about: 'A claw must reach over the girdle.',
    cure: 'Raise `claw-diameter`, or lower `least-gap`.',
  },
  'claw-height': {
    about: 'A low claw has no metal to push over; a high one catches.',
    cure: 'Change `claw-height`: it is measured against girdle to table.',
  },
  'claw-sink': {
    about: 'A claw needs a root in the band’s metal.',
    cure: 'Raise `thickness` or lower `set-depth` of the stones.',
  },
  'metal-under-seat': {
    about: 'What is left under a stone carries it and the band.',
    cure: 'Raise `thickness`, lower `hole`, or choose smaller stones.',
  },
  'girdle-depth': {
    about: 'Grains need the girdle below the surface to reach over it.',
    cure: 'Raise `set-depth`.',
  },
  'table-height': { about: 'Tables that stand far out are hit in wear.', cure: 'Raise `set-depth`.' },
  'overall-thickness': {
    about: 'A high band spreads the neighbouring fingers.',
    cure: 'Lower `thickness`, claws or stones; or tell the wearer.',
  },
  'grain-diameter': { about: 'Small grains wear off.', cure: 'Raise `grain`.' },
  'grain-bite': {
    about: 'A grain must reach over the girdle.',
    cure: 'Raise `grain`, or lower `least-gap` where grains are shared.',
  },
  'grain-height': {
    about: 'A low grain does not hold, a high one stands off.',
    cure: 'Change `grain` or `set-depth`.',
  },
  'grain-sink': {
    about: 'A grain is raised out of the metal and must be rooted in it.',
    cure: 'Lower `field-depth` or raise `grain`.',
  },
  'grain-rail': {
    about: 'A rail is left on either side of the field.',
    cure: 'A wider lane, or a smaller `field`.',
  },
  'grain-floor': {
    about: 'The metal under the field holds seats and grains.',
    cure: 'Raise `thickness` or lower `field-depth`.',
  },
  'hole-width': {
    about: 'Narrow holes fill in casting.',
    cure: 'Raise `hole`, or leave the holes to the drill and waive the rule with that reason.',
  },
  'hole-depth': {
    about: 'Deep narrow holes fill in casting.',
    cure: 'Raise `hole`, give a `floor`, or drill them and waive the rule with that reason.',
  },
  'claw-gap': {
    about: 'Narrow air between claws fills in casting and cannot be polished.',
    cure: 'Thinner claws, a larger `least-gap`, or wider stones.',
  },
  'emergency-size': {
    about: 'A ring must come off a swollen finger with a cutter.',
    cure: 'A thinner or narrower band, or tell the wearer.',
  },
  'engraving-depth': { about: 'Shallow letters wear away.', cure: 'Raise the engraving’s `depth`.' },
  'engraving-wall': {
    about: 'The metal under letters carries the band.',
    cure: 'Lower `depth`, or raise `thickness`.',
  },
  'engraving-stroke': {
    about: 'Narrow strokes cannot be cut, or their walls meet before the depth.',
    cure: 'Raise `height`, choose bold, or lower `depth`.',
  },
  'groove-wall': {
    about: 'The metal under a cut line carries the band.',
    cure: 'Lower the groove’s `depth`, or raise `thickness`.',
  },
  'milgrain-bead': { about: 'Small beads are lost in polishing.', cure: 'Raise `bead`.' },
  'full-circle': {
    about: 'A band with stones all round cannot be resized.',
    cure: 'Leave plain metal at the back (`coverage: half`), or tell the wearer.',
  },
  'stone-care': {
    about: 'Some stones break under the punch, split, or spoil with heat.',
    cure: 'Another stone or another setting; tell the setter.',
  },
  'claw-metal': {
    about: 'Some metals do not bend over a stone and cannot be soldered.',
    cure: 'Another alloy for lanes with claws or grains, or a channel or flush setting where the setter agrees.',
  },
  'soft-claws': {
    about: 'Soft alloys need thicker claws.',
    cure: 'Raise `claw-diameter`, or choose a harder alloy.',
  },
  'oxide-cut': {
    about: 'Cuts go through the black oxide to grey metal.',
    cure: 'Another alloy, or cut first and blacken after.',
  },
  'metal-joint': {
    about: 'Not all metals can be soldered to each other.',
    cure: 'Alloys that can, or an inlay pressed into an undercut channel.',
  },
  'emergency-metal': {
    about: 'Some metals stop an ordinary ring cutter.',
    cure: 'Another alloy, or tell the wearer: powered tools are needed.',
  },
  'guarded-points': {
    about: 'Corners and points of stones chip where nothing covers them.',
    cure: 'Another cut, or claws that reach the corners.',
  },
  'bearing-angle': {
    about: 'A stone rests on a bearing cut to its pavilion.',
    cure: 'Nothing to set: the setter cuts bearings to the stones at hand.',
  },
  'comfort-dome': {
    about: 'A bore that hardly opens is no comfort; one that opens far sits on a narrow line.',
    cure: 'Change `comfort`.',
  },
  'wide-band-size': {
    about: 'A wide band sits tighter than a narrow one of the same size.',
    cure: 'Measure with a gauge as wide, or try up to half a US size more.',
  },
  'nickel-release': {
    about: 'Many people react to nickel.',
    cure: 'An alloy without nickel, or have the finished ring tested.',
  },
  'hallmark-mass': {
    about: 'From a certain mass many countries ask for a hallmark.',
    cure: 'Ask your assay office.',
  },
  'channel-opening': {
    about: 'Walls must reach over the stones, and the stones must go in.',
    cure: 'Change `opening`.',
  },
  'channel-overlap': {
    about: 'A wall that hardly reaches over a girdle wears off it.',
    cure: 'A smaller `opening`, or larger stones.',
  },
  'channel-lip': { about: 'Metal over the girdle is worn and polished away.', cure: 'Raise `set-depth`.' },
  'channel-wall': { about: 'Walls carry every stone of the row.', cure: 'A wider lane, or smaller stones.' },
  'channel-floor': {
    about: 'The floor under a channel carries the band.',
    cure: 'Raise `thickness`, or choose smaller stones.',
  },
  'channel-stone': {
    about: 'Very small stones are rarely set between walls.',
    cure: 'Larger stones, or grains.',
  },
  'flush-metal': {
    about: 'A stone sunk into the metal needs its depth and more.',
    cure: 'Raise `thickness`, or choose smaller stones.',
  },
  'flush-hole': { about: 'The hole under a sunk stone must leave it a bearing.', cure: 'Change `hole`.' },
  'flush-lip': { about: 'The burnished lip alone holds the stone.', cure: 'Raise `lip`.' },
  'flush-wall': {
    about: 'Metal is needed beside a sunk stone to be pushed over it.',
    cure: 'A wider lane, or smaller stones.',
  },
  'collar-wall': {
    about: 'The wall of a collar is pushed over its stone and takes knocks.',
    cure: 'Raise `wall`, or lower `taper` or `hole`.',
  },
  'bezel-lip': { about: 'The metal pushed over the girdle alone holds the stone.', cure: 'Raise `lip`.' },
  'bezel-hold': { about: 'A half bezel must not let its stone slide out.', cure: 'Lower `open-share`.' },
  'gap-width': {
    about: 'A gap that no thread goes through stays rough inside and holds dirt.',
    cure: 'Raise `width` of the gap.',
  },
  'gap-strand': {
    about: 'What is left beside a gap bears what the whole band would.',
    cure: 'Lower `width` of the gap, move it, or widen the band.',
  },
  'gap-bridge': {
    about: 'A thin bar across a gap bends when the ring is drawn on or sized.',
    cure: 'Raise `width` of the `bridges`.',
  },
  'strand-wire': {
    about: 'Thin wires bend, and wear through where they lie on top.',
    cure: 'Raise `wire` or `thickness`, or use fewer wires.',
  },
  'liner-wall': {
    about:
      'A liner keeps the ring round under its wires; a thin one bends, and shows through where it is polished.',
    cure: 'Raise `thickness` under `strands.liner`.',
  },
  'strand-gap': {
    about: 'Wires that are loose in each other fill up in casting where they come too near.',
    cure: 'Raise `clearance`, or leave it out so that they are joined.',
  },
  'head-clearance': {
    about: 'A band that runs round a head must not touch it.',
    cure: 'Raise `gap` under `outline.around`, or give the head its true width.',
  },
  'brittle-wall': {
    about: 'Ceramics, carbides and fibres break where they are thin.',
    cure: 'Raise `thickness` or the lane’s depth, or choose a metal.',
  },
  'enamel-bed': {
    about: 'Enamel needs a bed of metal beneath it.',
    cure: 'Make the lane an `inlay` and leave more metal beneath it.',
  },
  'material-care': {
    about: 'Some materials cannot be sized, soldered or repaired.',
    cure: 'Tell the wearer, or choose another material.',
  },
  'plating-wear': {
    about: 'A plating is thin and wears off.',
    cure: 'Tell the wearer that it is renewed, or choose an alloy of that colour.',
  },
};
