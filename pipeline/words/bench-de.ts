import type { BenchMessages } from './bench-messages.ts';

export const BENCH_GERMAN: BenchMessages = {
  sheet: 'Werkstattblatt',
  unrolled: (scale) =>
    `Trennlinien und Steine abgewickelt am Außenradius, von außen gesehen, erste Kante oben, ${scale}:1; Steine je Reihe nummeriert`,
  faceSeen: (edge, scale) =>
    `Seitenfläche der ${edge === 'first' ? 'ersten' : 'zweiten'} Kante, entlang des Fingers gesehen, ${scale}:1`,
  strands: {
    title: 'Drähte',
    twist: (count, wire) => `${count} Runddrähte Ø ${wire}, verdreht`,
    braid: (count, wire) => `${count} Runddrähte Ø ${wire}, geflochten`,
    turns: (count) => `${count} Windungen um die Schiene`,
    right: 'rechtsherum',
    left: 'linksherum',
    joined: 'an den Kreuzungen verbunden',
    clear: (air) => `lose, ${air} Luft`,
    liner: (wall, margin, edge) =>
      `verbunden mit einem Innenring von ${wall}, der beidseits um ${margin} vorsteht, Kanten um ${edge} gerundet`,
  },
  boreUnrolled: (scale) => `Innenseite abgewickelt, wie man sie beim Blick in den Ring sieht, ${scale}:1`,
  sectionAt: (angle, scale) => `Querschnitt bei ${angle}, ${scale}:1`,
  top: 'oben',
  opposite: 'unten, der Oberseite gegenüber',
  printing:
    'Längen in mm. Mit 100 % drucken. Steinsitze, Krappen, Hammerschläge und Reliefs sind nicht gezeichnet, Facetten, Rillen und Perlen nicht in den Querschnitten.',
  sizes: 'Ringmaße',
  section: 'Querschnitt',
  metal: 'Metall',
  stones: 'Steine',
  marks: 'Buchstaben, Perlen und Rillen',
  fit: 'Sitz der Steine',
  checks: 'Werkstattprüfungen',
  cautions: 'Hinweise',
  hands: {
    setter:
      'Fassen: Steine messen, bevor die Steinsitze fertig sind. Unter der Lupe darf sich kein Stein bewegen und keine Krappe und kein Korn abstehen; nach dem Polieren noch einmal prüfen. Hitze, Ultraschall und Beize schaden gefüllten, geölten, beschichteten und spaltbaren Steinen: erst die Behandlung klären. Schutzbrille tragen.',
    caster:
      'Guss: ein Teil nachmessen und mit diesem Blatt vergleichen; vereinbaren, wer Schwindung und Polierzugabe anbringt, damit nichts doppelt geschieht. Titan, Tantal und Zirkonium sind nichts für eine übliche Gießerei. Staub der Einbettmasse, Dämpfe und Schmelze von Lunge und Haut fernhalten.',
  },
  sizeNames: 'Ringmaß',
  bore: 'innen',
  boreFigures: (diameter, circumference) => `Ø ${diameter}, Umfang ${circumference}`,
  atBack: 'an der Rückseite',
  widthThickness: 'Breite, Stärke',
  outline: 'Verlauf',
  outlineFigures: (least, most, reach) =>
    `quer zum Verlauf ${least} bis ${most} breit, längs des Fingers ${reach} von Kante zu Kante`,
  flat: 'Platte oben',
  flatFigures: (length, width, height, radius) =>
    `${length} lang, in der Mitte ${width} breit, ${height} über der Fingerachse, Enden mit ${radius} gerundet`,
  none: 'keine',
  sections: {
    flat: 'flach',
    d: 'halbrund',
    court: 'bombiert',
    'flat-court': 'flach, innen bombiert',
    concave: 'konkav',
    bevelled: 'angefast',
    'knife-edge': 'dachförmig',
  },
  sectionWords: {
    both: (first, second) => `${first} und ${second}`,
    dome: (rise) => `Wölbung ${rise}`,
    chamfer: (width, angle) => `${width} unter ${angle}`,
    chamfers: (both, corner) => `Fasen ${both}, Ecken R ${corner}`,
    ridge: (angles, radius) => `Dachflächen unter ${angles}, First R ${radius}`,
    step: (width, depth, radius, edge) =>
      `Stufe ${width} breit, ${depth} tief, R ${radius}${edge === 'both' ? '' : ` an der ${edge === 'low' ? 'ersten' : 'zweiten'} Kante`}`,
    comfort: (rise) => `innen bombiert ${rise}`,
    edges: (radii) => `Kanten R ${radii}`,
    boreEdges: (radius) => `Innenkanten R ${radius}`,
  },
  lanes: {
    recess: (depth) => `Rücksprung ${depth}`,
    cutRims: 'gestochene Ränder an den Trennlinien',
    softened: (radius) => `R ${radius} an den Trennlinien`,
    textured: (what, size, depth) => `${what}, Abstand ${size}, ${depth} tief`,
    motif: (height, raised, along, across) =>
      `${height} hoch, ${raised ? 'erhaben' : 'vertieft'}, durch die Wölbung höchstens ${along} in der Länge und ${across} in der Breite gestreckt`,
    hammered: (width, depth) => `gehämmert, Schläge ${width} breit, ${depth} tief`,
    facets: (count, depth) => `${count} Facetten, ${depth} tief`,
    leaning: (angle) => `abwechselnd um ${angle} geneigt`,
    inlay: (bed, floor) => `Einlage in ${bed}, Boden ${floor} unter der Außenseite`,
  },
  markWords: {
    engraved: { inside: 'Innengravur', outside: 'Außengravur' },
    text: (text, lane) => `„${text}“${lane === undefined ? '' : ` auf ${lane}`}`,
    font: {
      regular: 'Source Sans, aufrecht',
      italic: 'Source Sans, kursiv',
      bold: 'Source Sans, fett',
      script: 'Pacifico, Schreibschrift',
    },
    capitals: (height) => `Großbuchstaben ${height} hoch`,
    deep: (depth) => `${depth} tief`,
    long: (length) => `${length} lang`,
    walls: (lean) => `Wände ${lean} schräg`,
    middleAt: (angle) => `Mitte bei ${angle}`,
    heads: { first: 'Oberkanten zur ersten Kante', second: 'Oberkanten zur zweiten Kante' },
    milgrain: 'Milgrain',
    beads: (count, diameter, pitch) => `${count} Perlen Ø ${diameter}, ${pitch} von Mitte zu Mitte`,
    groove: 'Rille',
    grooveProfile: { v: 'V-förmig', round: 'rund' },
    wide: (width) => `${width} breit`,
    along: (seam, lane) =>
      `entlang ${seam === undefined ? 'einer Kante' : `der Trennlinie ${seam}`}${lane === undefined ? '' : ` auf ${lane}`}`,
  },
  mass: (name, finished, asCast) =>
    `${name}, ca. ${finished} g fertig${asCast === undefined ? '' : `, ${asCast} g im Guss`}`,
  stoneLine: (count, label, cut, sizes, carats) =>
    `${count} × ${label}, ${cut}, ${sizes}, zusammen ca. ${carats} ct`,
  countOf: (count, size) => `${count} zu ${size}`,
  fitWords: {
    stones: (count) => `${count} ${count === 1 ? 'Stein' : 'Steine'}`,
    single: 'ein einzelner Stein',
    gaps: (gap) => `Abstände ${gap}`,
    walls: (wall) => `Wände ${wall}`,
    culets: (height, side) => {
      const behind = {
        outside: 'über der Innenseite',
        bore: 'unter der Außenseite',
        face: 'von der anderen Seite entfernt',
      };
      return `Steinspitzen ${height} ${behind[side]}`;
    },
    step: (count, fits, gap, why) =>
      `${count} ${count === 1 ? 'Stein passt' : 'Steine passen'}${fits ? '' : ' nicht'}:${gap === undefined ? '' : ` Abstand ${gap} mm,`} ${why}`,
  },
  measures: {
    wire: (diameter, length) => `Draht Ø ${diameter}, ${length} lang, in der Drahtmitte gemessen`,
    heading: 'Arbeitsmaße',
    counted:
      'Winkel (θ) von oben nach rechts wie gezeichnet; Strecken auf der Außenseite von oben aus; Abstände quer von der ersten Kante. Vor dem Polieren; im Zweifel gilt das Modell.',
    blank: 'Zuschnitt',
    blankLine: (length, wide) =>
      `Streifen ${length} lang: π × (Innen-Ø + Stärke)${wide ? ', bei breiten Streifen ein halber Millimeter mehr' : ''}; Sägeschnitt, Lötfuge und Aufrunden nach eigener Erfahrung`,
    files: 'Dateien',
    seams: 'Trennlinien, Abstand von der ersten Kante',
    again: (times, angle) => `; ${times}-mal ringsum, wieder alle ${angle}`,
    seam: 'Trennlinie',
    lanes: 'Breiten der Bahnen',
    constant: (value) => `${value} ringsum`,
    swings: (least, leastAt, most, mostAt) => `${least} (bei ${leastAt}) bis ${most} (bei ${mostAt})`,
    places: 'Lage der Steine',
    placeHeads: { number: 'Nr.', angle: 'Winkel', along: 'Strecke', fromEdge: 'von Kante', size: 'Größe' },
    seats: 'Steinsitze',
    opening: (size) => `Öffnung ${size}`,
    hole: (size, atBore) =>
      size === undefined
        ? 'unten geschlossen'
        : `Bohrung ${size}${atBore ? `, innen ajouriert auf ${atBore}` : ''}`,
    girdleDepth: (depth) => `Rundiste ${depth} unter dem Metall`,
    bearing: (from, to) => `Auflage von ${from} bis ${to} unter der Rundiste`,
    holds: 'Was sie hält',
    pins: { claws: 'Krappen', grains: 'Körner' },
    claws: (pins, count, base, overMetal, overGirdle) =>
      `${count} ${pins}, Ø ${base} am Fuß, ${overMetal} über dem Metall, ${overGirdle} über der Rundiste vor dem Anreiben`,
    channel: (open, slot, floor) =>
      `Kanal ${open} offen, Nuten ${slot} hoch für die Rundisten, Boden ${floor} unter der Rundiste`,
    flush: (lip, flare) => `Rand Ø ${lip}, Fase Ø ${flare} an der Oberfläche`,
    collar: (outside, wall, taper, lip) =>
      `${lip === undefined ? 'Kelch' : 'Zarge'} Ø ${outside} außen an der Rundiste, Wand ${wall}, Seiten um ${taper}° eingezogen${lip === undefined ? '' : `, Rand Ø ${lip}`}`,
    order: 'Bereitzulegende Steine',
    orderLine: (count, spares, size) =>
      `${count + spares} zu ${size}${spares > 0 ? `: ${count} und ${spares} Reserve` : ''}`,
    sieve: (plates) => `Sieb ${plates}`,
    quality: (text) => `Qualität: ${text}`,
  },
  passed: 'i. O.',
  note: 'Hinweis',
  notPassed: 'NICHT BESTANDEN',
  waived: (reason) => `zugelassen: ${reason}`,
};
