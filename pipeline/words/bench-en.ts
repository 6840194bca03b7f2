import type { BenchMessages } from './bench-messages.ts';

export const BENCH_ENGLISH: BenchMessages = {
  sheet: 'bench sheet',
  unrolled: (scale) =>
    `Seams and stones unrolled at the outside’s radius, seen from outside, first edge above, ${scale}:1; stones are numbered by row`,
  faceSeen: (edge, scale) =>
    `Side face at the ${edge === 'first' ? 'first' : 'second'} edge, as seen along the finger, ${scale}:1`,
  strands: {
    title: 'Wires',
    twist: (count, wire) => `${count} round wires of Ø ${wire}, twisted`,
    braid: (count, wire) => `${count} round wires of Ø ${wire}, plaited`,
    turns: (count) => `${count} turns round the band`,
    right: 'to the right',
    left: 'to the left',
    joined: 'joined where they cross',
    clear: (air) => `loose, ${air} of air`,
    liner: (wall, margin, edge) =>
      `joined to a liner of ${wall} that stands out by ${margin} on both sides, its edges softened by ${edge}`,
  },
  boreUnrolled: (scale) => `Bore unrolled, as seen by one who looks into the ring, ${scale}:1`,
  sectionAt: (angle, scale) => `Section at ${angle}, ${scale}:1`,
  top: 'top',
  opposite: 'opposite the top',
  printing:
    'Lengths in mm. Print at 100 %. Seats, claws, hammer marks and relief are not drawn, nor facets, grooves and beads in sections.',
  sizes: 'Sizes',
  section: 'Section',
  metal: 'Metal',
  stones: 'Stones',
  marks: 'Letters, beads and grooves',
  fit: 'Fit of the stones',
  checks: 'Bench checks',
  cautions: 'Cautions',
  hands: {
    setter:
      'Setting: measure the stones before the seats are finished. Under a loupe, no stone may move and no claw or grain stand off; look again after polishing. Heat, ultrasound and pickle harm filled, oiled, coated and cleavable stones: know the treatment first. Wear eye protection.',
    caster:
      'Casting: compare a measured part with this sheet and agree who allows for shrinkage and polishing, so that neither is done twice. Titanium, tantalum and zirconium are not for an ordinary caster. Keep investment dust, fumes and molten metal from lungs and skin.',
  },
  sizeNames: 'sizes',
  bore: 'bore',
  boreFigures: (diameter, circumference) => `Ø ${diameter}, circumference ${circumference}`,
  atBack: 'at the back',
  widthThickness: 'width, thickness',
  outline: 'outline',
  outlineFigures: (least, most, reach) =>
    `${least} to ${most} wide square to its run, ${reach} along the finger from edge to edge`,
  flat: 'flat on top',
  flatFigures: (length, width, height, radius) =>
    `${length} long, ${width} wide in its middle, ${height} over the finger’s axis, ends rounded by ${radius}`,
  none: 'none',
  sections: {
    flat: 'flat',
    d: 'D',
    court: 'court',
    'flat-court': 'flat court',
    concave: 'concave',
    bevelled: 'bevelled',
    'knife-edge': 'knife-edge',
  },
  sectionWords: {
    both: (first, second) => `${first} and ${second}`,
    dome: (rise) => `dome ${rise}`,
    chamfer: (width, angle) => `${width} at ${angle}`,
    chamfers: (both, corner) => `chamfers ${both}, corners R ${corner}`,
    ridge: (angles, radius) => `flats at ${angles}, ridge R ${radius}`,
    step: (width, depth, radius, edge) =>
      `step ${width} wide, ${depth} deep, R ${radius}${edge === 'both' ? '' : ` at the ${edge === 'low' ? 'first' : 'second'} edge`}`,
    comfort: (rise) => `comfort ${rise}`,
    edges: (radii) => `edges R ${radii}`,
    boreEdges: (radius) => `bore edges R ${radius}`,
  },
  lanes: {
    recess: (depth) => `recess ${depth}`,
    cutRims: 'cut rims at seams',
    softened: (radius) => `R ${radius} at seams`,
    textured: (what, size, depth) => `${what}, ${size} apart, ${depth} deep`,
    motif: (height, raised, along, across) =>
      `${height} high, ${raised ? 'raised' : 'cut'}, stretched by the curve at most ${along} along the band and ${across} across`,
    hammered: (width, depth) => `hammered ${width} wide, ${depth} deep`,
    facets: (count, depth) => `${count} facets ${depth} deep`,
    leaning: (angle) => `leaning ${angle} by turns`,
    inlay: (bed, floor) => `inlay in ${bed}, floor ${floor} below the outside`,
  },
  markWords: {
    engraved: { inside: 'engraved inside', outside: 'engraved outside' },
    text: (text, lane) => `“${text}”${lane === undefined ? '' : ` on ${lane}`}`,
    font: {
      regular: 'Source Sans regular',
      italic: 'Source Sans italic',
      bold: 'Source Sans bold',
      script: 'Pacifico, script',
    },
    capitals: (height) => `capitals ${height} high`,
    deep: (depth) => `${depth} deep`,
    long: (length) => `${length} long`,
    walls: (lean) => `walls ${lean} off square`,
    middleAt: (angle) => `middle at ${angle}`,
    heads: { first: 'heads towards the first edge', second: 'heads towards the second edge' },
    milgrain: 'milgrain',
    beads: (count, diameter, pitch) => `${count} beads Ø ${diameter}, ${pitch} from middle to middle`,
    groove: 'groove',
    grooveProfile: { v: 'V', round: 'round' },
    wide: (width) => `${width} wide`,
    along: (seam, lane) =>
      `along ${seam === undefined ? 'an edge' : `seam ${seam}`}${lane === undefined ? '' : ` on ${lane}`}`,
  },
  mass: (name, finished, asCast) =>
    `${name}, approx. ${finished} g finished${asCast === undefined ? '' : `, ${asCast} g as cast`}`,
  stoneLine: (count, label, cut, sizes, carats) =>
    `${count} × ${label}, ${cut}, ${sizes}, total approx. ${carats} ct`,
  countOf: (count, size) => `${count} of ${size}`,
  fitWords: {
    stones: (count) => `${count} stones`,
    single: 'a single stone',
    gaps: (gap) => `gaps ${gap}`,
    walls: (wall) => `walls ${wall}`,
    culets: (height, side) => {
      const behind = { outside: 'above the bore', bore: 'below the outside', face: 'from the other side' };
      return `culets ${height} ${behind[side]}`;
    },
    step: (count, fits, gap, why) =>
      `${count} stones ${fits ? 'would fit' : 'do not fit'}:${gap === undefined ? '' : ` gap ${gap} mm,`} ${why}`,
  },
  measures: {
    wire: (diameter, length) => `wire of Ø ${diameter}, ${length} long along its middle`,
    heading: 'Measures to work by',
    counted:
      'Angles (θ) from the top, to the right as drawn; places along the outside from the top; distances across from the first edge. Before polishing; the model decides in doubt.',
    blank: 'blank',
    blankLine: (length, wide) =>
      `strip ${length} long: π × (inside Ø + thickness)${wide ? ', half a millimetre more for a wide strip' : ''}; saw, solder and round up as you are used to`,
    files: 'files',
    seams: 'Seams, distance from the first edge',
    again: (times, angle) => `; ${times} times round, again every ${angle}`,
    seam: 'seam',
    lanes: 'Widths of lanes',
    constant: (value) => `${value} all round`,
    swings: (least, leastAt, most, mostAt) => `${least} (at ${leastAt}) to ${most} (at ${mostAt})`,
    places: 'Places of the stones',
    placeHeads: { number: 'no.', angle: 'angle', along: 'along', fromEdge: 'from edge', size: 'size' },
    seats: 'Seats',
    opening: (size) => `opening ${size}`,
    hole: (size, atBore) =>
      size === undefined
        ? 'closed below'
        : `hole ${size}${atBore ? `, azured to ${atBore} at the bore` : ''}`,
    girdleDepth: (depth) => `girdle ${depth} below the metal`,
    bearing: (from, to) => `bearing from ${from} to ${to} below the girdle`,
    holds: 'What holds them',
    pins: { claws: 'claws', grains: 'grains' },
    claws: (pins, count, base, overMetal, overGirdle) =>
      `${count} ${pins}, Ø ${base} at the base, ${overMetal} over the metal, ${overGirdle} over the girdle before they are laid`,
    channel: (open, slot, floor) =>
      `channel ${open} open, slots ${slot} high for the girdles, floor ${floor} below the girdle`,
    flush: (lip, flare) => `lip Ø ${lip}, flare Ø ${flare} at the surface`,
    collar: (outside, wall, taper, lip) =>
      `${lip === undefined ? 'cup' : 'bezel'} Ø ${outside} outside at the girdle, wall ${wall}, sides drawn in by ${taper}°${lip === undefined ? '' : `, lip Ø ${lip}`}`,
    order: 'Stones to have in hand',
    orderLine: (count, spares, size) =>
      `${count + spares} of ${size}${spares > 0 ? `: ${count} and ${spares} spare` : ''}`,
    sieve: (plates) => `sieve ${plates}`,
    quality: (text) => `quality: ${text}`,
  },
  passed: 'ok',
  note: 'note',
  notPassed: 'NOT PASSED',
  waived: (reason) => `waived: ${reason}`,
};
