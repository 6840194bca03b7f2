/**
 * The trade's words in German. Fineness in thousandths is how German law lets precious metal be stamped (Feingehaltsgesetz §§ 1–5);
 * "synthetisch" is the word of the trade for stones grown by man (CIBJO, ISO 18323; "laborgezüchtet" is its equal for
 * diamonds; from memory). Not legal advice.
 */
import { GERMAN_RULES, GERMAN_SOURCES, germanOwnLimit } from './bench-rules-de.ts';
import { GERMAN_PHRASES } from './bench-words-de.ts';
import type { CutName } from './cuts.ts';
import type { Treatment } from './declared-stone.ts';
import { STONES, type StoneOrigin } from './stones.ts';
import type { TradeWords } from './trade-words.ts';

const NICKEL =
  'Enthält Nickel: Ringe dürfen in der EU höchstens 0,5 µg Ni/cm²/Woche abgeben (REACH Anhang XVII Eintrag 27, Prüfung nach EN 1811). Viele Menschen reagieren auf Nickel; lassen Sie den fertigen Ring prüfen und beachten Sie die örtlichen Vorschriften.';
const NOT_RESIZED = 'Kann in einer üblichen Werkstatt nicht auf ein anderes Ringmaß gebracht werden.';
const COLOUR_GUESSED =
  'Die gezeigte Farbe ist geschätzt: Vergleichen Sie sie mit einem Muster, bevor Sie sich entscheiden.';

const NEVER_RESIZED =
  'Kann weder auf ein anderes Ringmaß gebracht noch gelötet werden: Für einen anderen Finger wird ein neuer Ring gemacht.';

const CERAMIC = `${COLOUR_GUESSED} ${NEVER_RESIZED} Hart und spröde: Von einem Sturz auf Stein kann sie brechen.`;
const ENAMEL = `${COLOUR_GUESSED} Email ist Glas: Es kann durch Schläge, Biegen und beim Ändern des Ringmaßes abplatzen und reißen und wird durch neues Brennen ausgebessert.`;
const RESIN = `${COLOUR_GUESSED} ${NEVER_RESIZED} Das Harz wird durch Tragen stumpf, vergilbt in der Sonne und leidet unter Lösungsmitteln und Hitze.`;
const WOOD = `${COLOUR_GUESSED} Jedes Stück Holz hat seine eigene Zeichnung. ${NEVER_RESIZED} Holz quillt, schwindet und dunkelt nach: Legen Sie den Ring zum Waschen und Schwimmen ab und ölen Sie ihn einige Male im Jahr; der Überzug trägt sich zuerst an Kanten und innen an der Hand ab.`;
const BONDED =
  'Das Muster ist eines von vielen: Kein Ring gleicht dem anderen, und die Linien sind nach einer Regel gezeichnet. Lässt sich höchstens um eine halbe Größe ändern: Eine Lötfuge würde das Muster zerschneiden.';
const MIXED_WORDS =
  'Zwei Metalle in einem: Wie es gestempelt und beschrieben werden darf, regelt das örtliche Recht; viele Länder rechnen den niedrigeren Feingehalt oder gar keinen.';

/** id → as a list names it, with its fineness, cautions */
const ALLOYS: Record<string, readonly [label: string, description: string, cautions?: readonly string[]]> = {
  'yellow-22': ['Gelbgold 916', 'Gelbgold 916 (22 Karat)'],
  'yellow-18': ['Gelbgold 750', 'Gelbgold 750 (18 Karat)'],
  'yellow-14': ['Gelbgold 585', 'Gelbgold 585 (14 Karat)'],
  'yellow-9': ['Gelbgold 375', 'Gelbgold 375 (9 Karat)'],
  'rose-18': ['Roségold 750', 'Roségold 750 (18 Karat)'],
  'rose-14': ['Roségold 585', 'Roségold 585 (14 Karat)'],
  'rose-9': ['Roségold 375', 'Roségold 375 (9 Karat)'],
  'green-18': ['Grüngold 750', 'Grüngold 750 (18 Karat)'],
  'white-18': ['Weißgold 750', 'Palladium-Weißgold 750 (18 Karat)'],
  'white-18-rhodium': [
    'Weißgold 750, rhodiniert',
    'Palladium-Weißgold 750 (18 Karat), rhodiniert',
    [
      'Das helle Weiß ist eine dünne Rhodiumschicht. Sie trägt sich beim Tragen ab, oft in ein bis drei Jahren, zuerst innen an der Hand; darunter erscheint das etwas wärmere Weißgold. Der Ring kann gegen Entgelt neu rhodiniert werden.',
    ],
  ],
  'white-18-black-rhodium': [
    'Weißgold 750, schwarz rhodiniert',
    'Palladium-Weißgold 750 (18 Karat), schwarz rhodiniert',
    [
      `${COLOUR_GUESSED} Das dunkle Grau ist eine dünne Schicht aus schwarzem Rhodium. Sie trägt sich in Monaten bis zwei Jahren ab, zuerst an Kanten und innen an der Hand; darunter erscheint das Weißgold. Der Ring kann gegen Entgelt neu rhodiniert werden.`,
    ],
  ],
  'white-14': ['Weißgold 585', 'Palladium-Weißgold 585 (14 Karat)'],
  'white-18-nickel': ['Nickel-Weißgold 750', 'Nickel-Weißgold 750 (18 Karat)', [NICKEL]],
  'white-14-nickel': ['Nickel-Weißgold 585', 'Nickel-Weißgold 585 (14 Karat)', [NICKEL]],
  'platinum-950': ['Platin 950', 'Platin 950 mit Ruthenium'],
  'palladium-950': ['Palladium 950', 'Palladium 950'],
  'silver-925': ['Sterlingsilber', 'Sterlingsilber (925)'],
  'silver-925-gilt': [
    'Sterlingsilber, vergoldet',
    'Sterlingsilber (925), mit Gold 750 vergoldet',
    [
      'Das Gold ist eine dünne Schicht auf Silber und muss so beschrieben werden; wie es heißen darf, regelt jedes Land anders. Sie trägt sich in ein bis drei Jahren ab, zuerst an Kanten und innen an der Hand; darunter erscheint das Silber. Der Ring kann gegen Entgelt neu vergoldet werden.',
    ],
  ],
  titanium: [
    'Titan',
    'Titan (Grad 2)',
    ['Kann in einer üblichen Werkstatt weder gelötet noch auf ein anderes Ringmaß gebracht werden.'],
  ],
  tantalum: ['Tantal', 'Tantal', [`${COLOUR_GUESSED} ${NOT_RESIZED}`]],
  'tungsten-carbide': [
    'Wolframkarbid',
    'Wolframkarbid (nickelgebunden)',
    [
      `${COLOUR_GUESSED} ${NEVER_RESIZED} Sehr hart und spröde: Von einem Schlag auf Stein kann er reißen oder zerspringen. Enthält Nickel, auf das viele Menschen reagieren; lassen Sie den fertigen Ring prüfen und halten Sie sich an die örtlichen Vorschriften.`,
    ],
  ],
  'ceramic-black': ['Schwarze Keramik', 'schwarze Zirkonkeramik', [CERAMIC]],
  'carbon-fibre': [
    'Kohlefaser',
    'Kohlefaser in Epoxidharz',
    [
      `${COLOUR_GUESSED} Das Gewebe der Faser wird nicht gezeigt. ${NEVER_RESIZED} Das Harz wird durch Tragen, Lösungsmittel und Hitze stumpf.`,
    ],
  ],
  'enamel-black': ['Schwarzes Email', 'schwarzes Glasemail', [ENAMEL]],
  'ceramic-white': ['Weiße Keramik', 'weiße Zirkonkeramik', [CERAMIC]],
  'ceramic-grey': ['Graue Keramik', 'graue Zirkonkeramik', [CERAMIC]],
  'ceramic-blue': ['Blaue Keramik', 'blaue Zirkonkeramik', [CERAMIC]],
  'enamel-white': ['Weißes Email', 'weißes Glasemail', [ENAMEL]],
  'enamel-red': ['Rotes Email', 'rotes Glasemail', [ENAMEL]],
  'enamel-blue': ['Blaues Email', 'blaues Glasemail', [ENAMEL]],
  'enamel-green': ['Grünes Email', 'grünes Glasemail', [ENAMEL]],
  'resin-ivory': ['Elfenbeinfarbenes Harz', 'elfenbeinfarbenes Epoxidharz', [RESIN]],
  'resin-turquoise': ['Türkises Harz', 'türkisfarbenes Epoxidharz', [RESIN]],
  'resin-coral': ['Korallenfarbenes Harz', 'korallenfarbenes Epoxidharz', [RESIN]],
  'wood-walnut': ['Nussbaum', 'geöltes Nussbaumholz', [WOOD]],
  'wood-oak': ['Eiche', 'geöltes Eichenholz', [WOOD]],
  'wood-maple': ['Ahorn', 'geöltes Ahornholz', [WOOD]],
  'wood-ebony': ['Ebenholz', 'geöltes Ebenholz', [WOOD]],
  'mokume-rose-white': [
    'Mokume, Rosé- und Weißgold',
    'Mokume aus 750er Roségold und 750er Palladium-Weißgold',
    [BONDED],
  ],
  'mokume-rose-silver': [
    'Mokume, Roségold und Silber',
    'Mokume aus 750er Roségold und 925er Sterlingsilber',
    [`${BONDED} ${MIXED_WORDS}`],
  ],
  'mokume-palladium-silver': [
    'Mokume, Palladium und Silber',
    'Mokume aus Palladium 950 und 925er Sterlingsilber',
    [`${BONDED} ${MIXED_WORDS}`],
  ],
  'damask-steel': [
    'Damaststahl',
    'gedrehter Damast aus zwei rostfreien Stählen, geätzt',
    [
      `${COLOUR_GUESSED} ${BONDED} Der geätzte Stahl ist rauer und dunkler; durch Tragen wird er an Kanten und auf der Handflächenseite blanker und kann neu geätzt werden. Rostfreie Stähle enthalten Nickel. ${NICKEL}`,
    ],
  ],
  'zirconium-black': [
    'Schwarzes Zirkonium',
    'schwarz oxidiertes Zirkonium',
    [
      `${COLOUR_GUESSED} Das Schwarz ist eine dünne Oxidschicht, die sich abträgt und bis aufs graue Metall zerkratzt. ${NOT_RESIZED}`,
    ],
  ],
};

/** id → name; all are masculine, so that the adjective before them ends alike */
const NAMES: Record<string, string> = {
  diamond: 'Diamant',
  'champagne-diamond': 'champagnerfarbener Diamant',
  'black-diamond': 'schwarzer Diamant',
  moissanite: 'Moissanit',
  ruby: 'Rubin',
  'sapphire-blue': 'blauer Saphir',
  'sapphire-pink': 'rosa Saphir',
  emerald: 'Smaragd',
  aquamarine: 'Aquamarin',
  morganite: 'Morganit',
  amethyst: 'Amethyst',
  'cubic-zirconia': 'Zirkonia',
};

const STONE_CAUTIONS: Record<string, readonly string[]> = {
  moissanite: [
    'Nur mit dem ordentlichen Strahl gezeigt: Die Verdopplung der hinteren Facetten unter der Lupe fehlt.',
  ],
};

const CUTS: Record<CutName, string> = {
  'round-brilliant': 'Brillantschliff',
  'single-cut': 'Achtkantschliff',
  'oval-brilliant': 'Ovalschliff',
  'marquise-brilliant': 'Navetteschliff',
  'pear-brilliant': 'Tropfenschliff',
  'cushion-brilliant': 'Kissenschliff',
  trilliant: 'Trillantschliff',
  princess: 'Princessschliff',
  baguette: 'Baguetteschliff',
  'tapered-baguette': 'Trapezbaguetteschliff',
};

const FINISHES: Record<string, string> = {
  polished: 'poliert',
  satin: 'satiniert',
  brushed: 'längs gebürstet',
  'brushed-across': 'quer gebürstet',
  'brushed-crosswise': 'kreuzweise gebürstet',
  'brushed-in-circles': 'in Kreisen gebürstet',
  'ice-matt': 'eismatt',
  sandblasted: 'sandgestrahlt',
};

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** How the adjective of a treatment ends before a masculine noun. */
const TREATED: Record<Exclude<Treatment, 'undetermined'>, string> = {
  untreated: 'unbehandelter',
  heated: 'erhitzter',
  oiled: 'geölter',
  irradiated: 'bestrahlter',
  filled: 'gefüllter',
  'diffusion-treated': 'diffusionsbehandelter',
  coated: 'beschichteter',
};

function treated(name: string, treatments: readonly Treatment[]): string {
  if (treatments.includes('undetermined')) return `${name} (Behandlung nicht bestimmt)`;
  const words = treatments.map((t) => TREATED[t as keyof typeof TREATED]);
  return [words.join(' und '), name].filter(Boolean).join(' ');
}

function declared(id: string, origin: StoneOrigin, treatments: readonly Treatment[] = []): string {
  if (!STONES.get(id)?.origins.includes(origin)) throw new RangeError(`${id} cannot be declared ${origin}`);
  const name = NAMES[id] ?? id;
  if (origin === 'simulant') return treated(`${name} (Imitation)`, treatments);
  return treated(`${origin === 'natural' ? 'natürlicher' : 'synthetischer'} ${name}`, treatments);
}

function chosen(id: string, origin: StoneOrigin | undefined, treatments: readonly Treatment[] = []): string {
  return origin && origin !== 'natural' && STONES.get(id)?.origins.includes(origin)
    ? declared(id, origin, treatments)
    : treated(NAMES[id] ?? id, treatments);
}

export const GERMAN_TRADE: TradeWords = {
  alloyLabel: (id) => ALLOYS[id]?.[0] ?? id,
  alloy: (id) => ALLOYS[id]?.[1] ?? id,
  alloyCautions: (id) => ALLOYS[id]?.[2] ?? [],
  stoneLabel: (id) => capital(NAMES[id] ?? id),
  stone: declared,
  stoneCautions: (id) => STONE_CAUTIONS[id] ?? [],
  cut: (id) => CUTS[id],
  finish: (id) => FINISHES[id] ?? id,
  hammered: 'gehämmert',
  textures: {
    bark: 'Rindenrelief',
    'sand-cast': 'Sandgussrelief',
    linen: 'Leinenrelief',
    florentine: 'Florentiner Linien',
    motif: 'Motiv im Relief',
    picture: 'Bild im Relief',
  },
  stoneChoice: (id, origin, treatments) => capital(chosen(id, origin, treatments)),
  noStones: 'Ohne Steine',
  sizeSystem: {
    iso: 'ISO 8653, Innenumfang in mm',
    us: 'USA, Kanada',
    uk: 'Vereinigtes Königreich, Irland, Australien, Neuseeland',
    jp: 'Japan',
    ch: 'Schweiz, Italien, Spanien, Niederlande',
  },
  rules: GERMAN_RULES,
  bench: GERMAN_PHRASES,
  source: (rule, _, ownLimit) => (ownLimit ? germanOwnLimit(GERMAN_SOURCES[rule]) : GERMAN_SOURCES[rule]),
};
