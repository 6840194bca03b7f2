import { BENCH_ENGLISH } from './bench-en.ts';
import { CASTER_NOTE_ENGLISH } from './caster-note.ts';
import { LOOK_ENGLISH } from './look-en.ts';
import type { Messages } from './messages.ts';
import { PAGE_ENGLISH } from './page-en.ts';
import { SHAPING_ENGLISH } from './shaping-en.ts';
import { SIGNING_ENGLISH } from './signing-words.ts';
import { TICKET_ENGLISH } from './ticket-words.ts';

const and = (items: readonly string[]) => items.join(' and ');

export const ENGLISH: Messages = {
  views: {
    'three-quarter': 'Three-quarter view',
    front: 'Front view through the finger hole',
    'flat-lay': 'Flat lay from above',
    profile: 'Profile, edge on',
    macro: 'Close-up of the top',
    inside: 'Close-up into the bore',
    turntable: 'Turntable',
    pair: 'The pair together',
  },
  threeTogether: 'The three bands together',
  draftOf: (title) => `${title} (draft)`,
  frameOf: (frame, of) => `frame ${frame} of ${of}`,
  cautions: [
    'Pictures are computer renderings, shown larger than life. True sizes in millimetres stand beside them. A finished ring may differ in colour and detail.',
    'Stone weights are approximate totals: small brilliants by a trade chart or the supplier’s table, others computed from cut and density. Whoever states a weight weighs the stones first.',
    'Metal masses are computed from the model before polishing and setting; the finished ring is usually lighter.',
    'Some white metals contain nickel, to which many people react. Ask for the alloy’s composition, have the finished ring tested, and follow local limits on nickel release.',
    'The bench checks cover common practice, not every risk. A qualified goldsmith checks every piece before it is made and worn.',
  ],
  marks: {
    office:
      'Hallmarking and the wording allowed for metals and stones differ by country; plating, origins and treatments must be told. Local rules come first; ask your assay office or a qualified professional before offering a piece for sale.',
    maker:
      'No assay office need mark a ring here: whoever stamps it answers for its fineness. Plating, origins and treatments must be told. Local rules come first; ask your trade association or a qualified professional before offering a piece for sale.',
    unknown:
      'Marks of fineness and the wording allowed for metals and stones differ by country; plating, origins and treatments must be told. Local rules come first; ask a qualified professional or, where there is one, an assay office before offering a piece for sale.',
  },
  unmeasured: '* Colour of the metal not measured: compare it with a sample',
  notMeasured: 'not measured',
  wording: {
    and,
    renderings:
      'Pictures are computer renderings, shown larger than life; the sizes in millimetres are the true ones.',
    colours: {
      yellow: 'yellow',
      rose: 'rose',
      green: 'green',
      white: 'white',
      silver: 'silver',
      black: 'black',
      grey: 'grey',
      blue: 'blue',
      red: 'red',
      brown: 'brown',
      ivory: 'ivory',
      turquoise: 'turquoise',
      coral: 'coral',
      multicoloured: 'multicoloured',
    },
    title: (metals, stones, width) =>
      `Wedding band, ${metals}${stones ? `, set with ${stones}` : ''}, ${width} wide`,
    pair: (looks, bands) => `${bands > 2 ? 'Set of three' : 'Pair'}: ${looks.join(' with ')}`,
    made: (metals) => `Wedding band of ${metals}.`,
    widths: (least, most) => `${least} to ${most}`,
    atBack: (top, back) => `${top} (${back} at the back)`,
    measures: (width, thickness, bore, grams) =>
      `${width} wide, ${thickness} thick, ${bore} inside diameter; metal approx. ${grams} before polishing.`,
    stone: (count, label, cut, size, carats) =>
      `${count} × ${label}, ${cut}, ${size} each, total approx. ${carats} ct`,
    inBore: (stones) => `${stones}, set inside the band`,
    inFace: (stones) => `${stones}, set into the side of the band`,
    by: (length, width) => `${length} by ${width}`,
    tax: (included, tax) => `${included ? 'incl.' : 'excl.'} ${tax}`,
    metalCharged: (mass, lost) =>
      `${mass === 'as-cast' ? 'as-cast' : 'finished'} mass${lost === undefined ? '' : `, with ${lost} lost`}`,
    asked: 'asked; rounded to the nearest step, halves up',
    work: { making: 'making', setting: 'setting', markup: 'markup' },
    stones: (rows, total, least, most, tolerance) =>
      `Stones: ${rows}. Total weight of all stones approx. ${total} ct, charted or computed ` +
      `and not weighed: ${least} to ${most} ct if each stone is within ${tolerance} of its size.`,
  },
  proof: {
    kind: 'Design proof',
    title: 'Your wedding bands',
    titleOne: 'Your wedding band',
    forWhom: 'For',
    welcome: (bands) =>
      `Thank you for choosing us. This is how we would make ${bands > 1 ? 'your bands' : 'your band'}; please take your time over it.`,
    order: 'Order',
    issued: 'Issued',
    validUntil: 'Valid until',
    delivery: 'Ready by',
    deposit: (share) => `Deposit with the order (${share})`,
    terms: 'Custom work, changes and withdrawal',
    resizing: {
      heading: 'Later resizing',
      'as-gold': 'within limits, by a goldsmith',
      stretched: 'only a little larger, and never smaller: nothing can be soldered in',
      'enamelled-anew': 'only if the enamel is taken out and fired anew',
      remade: 'not possible: made anew',
    },
    band: ['First band', 'Second band'],
    bandFor: (name) => `Band for ${name}`,
    onlyBand: 'The band',
    size: 'Ring size',
    madeAs: (size) => `made as ${size}`,
    measured: (how) => `measured: ${how}`,
    inside: 'Inside',
    insideFigures: (diameter, circumference) => `Ø ${diameter}, circumference ${circumference}`,
    width: 'Width',
    thickness: 'Thickness',
    metal: 'Metal',
    stones: 'Stones',
    none: 'none',
    totalCarats: (carats) => `total approx. ${carats}`,
    mass: 'Metal weight',
    approximately: (figure) => `approx. ${figure}`,
    beforePolishing: 'before polishing',
    engraving: { inside: 'Engraving inside', outside: 'Engraving outside' },
    noEngraving: 'no engraving',
    drawn: 'Your engraving, in its place',
    view: (side, scale) =>
      `${side === 'inside' ? 'The inside, unrolled' : 'The outside, unrolled'}, scale ${scale} when printed at 100 %`,
    otherLetters: 'The picture was made without your engraving: the drawings show it.',
    article: 'Article',
    price: 'Price',
    total: 'Total',
    taxIncluded: (rate, name, amount) => `including ${rate} ${name} (${amount})`,
    taxExcluded: (rate, name) => `plus ${rate} ${name}`,
    priceNote: 'Without engraving, delivery and extras unless they are named above.',
    notes: 'Notes',
    pictureNote: 'Computer rendering, shown larger than life; the sizes in millimetres are the true ones.',
    tickHeading: 'Please tick, sign and return',
    chooseOne: 'Please choose one of the two:',
    decision: ['We approve the design as shown.', 'We would like the changes noted below.'],
    alsoTick: 'Tick as well what applies:',
    tickMeasured: (bands) =>
      `We had ${bands > 1 ? 'both ring sizes' : 'the ring size'} measured for bands of this width.`,
    tickEngraving: 'The engraving is spelled exactly as we wish it, including capitals, spaces and signs.',
    summary: 'What we confirm',
    changes: 'Changes and questions',
    date: 'Date',
    signature: 'Signature',
    care: 'Wearing and care',
    cautions: 'Please note',
    wearing: {
      always:
        'Take rings off at machinery and tools, at sport and when climbing: a ring that catches can injure the finger badly.',
      stones:
        'Stones can come loose. If one moves or is missing, do not wear the ring and bring it to us. Keep loose stones away from small children, who may swallow them.',
      claws: 'Have a jeweller check claws and settings once a year, and after every knock.',
      cleaning:
        'Clean the bands in lukewarm water with a little mild soap and a soft brush. Keep them from chlorine and household cleaners, and from ultrasonic and steam cleaners unless we say that they bear it.',
    },
    smallPrint: [
      'A finished ring may differ from the picture in colour and detail. Compare metals and stones with samples before you decide.',
      'Weights are computed before polishing and setting, and are approximate; the finished ring is usually lighter.',
      'Wide bands sit tighter than narrow ones. Have sizes measured by a jeweller with gauges of the band’s width.',
      'Some white metals contain nickel, to which many people react. Tell us of any allergy; local limits on nickel release apply.',
    ],
    marks: {
      office: 'Hallmarking and description follow local rules; ask us or your assay office if in doubt.',
      maker: 'We stamp the fineness and answer for it; description follows local rules. Ask us if in doubt.',
      unknown: 'Marks of fineness and description follow local rules; ask us if in doubt.',
    },
    signing: SIGNING_ENGLISH,
    draft: 'Draft: coarse pictures, not for signing',
  },
  bench: BENCH_ENGLISH,
  ticket: TICKET_ENGLISH,
  page: PAGE_ENGLISH,
  look: LOOK_ENGLISH,
  shaping: SHAPING_ENGLISH,
  casterNote: CASTER_NOTE_ENGLISH,
  privateNote: `Do not upload this folder and do not send it on as a whole.

proofs/     papers for single clients; they hold names, engraving and notes.
            Bands with an order’s own letters: bench sheets (order-…-bench-1) and
            files for the caster (…-order-…-1, see READ-ME.txt) for the workshop, not for clients;
            job tickets (order-…-ticket) go with an order through the workshop
replies/    put in here what couples send back, as it comes (.json, .txt, .eml): "bandwright orders" reads it
prices.csv  how prices are made up
caster/     files from which anyone can cast a band, and stone lists
sheets/     bench sheets

Send a client their own proof only. Proofs of orders that leave the orders file are deleted with the next run.
`,
};
