import { BENCH_GERMAN } from './bench-de.ts';
import { CASTER_NOTE_GERMAN } from './caster-note.ts';
import { LOOK_GERMAN } from './look-de.ts';
import type { Messages } from './messages.ts';
import { PAGE_GERMAN } from './page-de.ts';
import { SHAPING_GERMAN } from './shaping-de.ts';
import { SIGNING_GERMAN } from './signing-words.ts';
import { TICKET_GERMAN } from './ticket-words.ts';

const und = (items: readonly string[]) =>
  items.length < 2 ? items.join('') : `${items.slice(0, -1).join(', ')} und ${items.at(-1)}`;

export const GERMAN: Messages = {
  views: {
    'three-quarter': 'Dreiviertelansicht',
    front: 'Von vorn durch die Fingeröffnung',
    'flat-lay': 'Liegend von oben',
    profile: 'Profil von der Seite',
    macro: 'Nahaufnahme der Oberseite',
    inside: 'Nahaufnahme der Innenseite',
    turntable: 'Drehteller',
    pair: 'Beide Ringe zusammen',
  },
  threeTogether: 'Alle drei Ringe zusammen',
  draftOf: (title) => `${title} (Vorabdruck)`,
  frameOf: (frame, of) => `Bild ${frame} von ${of}`,
  cautions: [
    'Die Bilder sind Computerdarstellungen und größer als die Wirklichkeit. Die wahren Maße in Millimetern stehen daneben. Der fertige Ring kann in Farbe und Einzelheiten abweichen.',
    'Steingewichte sind ungefähre Summen: kleiner Brillanten nach der Tabelle des Handels oder des Lieferanten, sonst berechnet aus Schliff und Dichte. Wer ein Gewicht angibt, wiegt die Steine vorher.',
    'Metallgewichte sind am Modell berechnet, vor Politur und Fassen; der fertige Ring ist meist leichter.',
    'Manche Weißmetalle enthalten Nickel, auf das viele Menschen reagieren. Fragen Sie nach der Zusammensetzung, lassen Sie den fertigen Ring prüfen und beachten Sie die örtlichen Grenzwerte für die Nickelabgabe.',
    'Die Prüfungen decken übliche Werkstattpraxis ab, nicht jedes Risiko. Vor der Anfertigung und vor dem Tragen prüft eine Goldschmiedin oder ein Goldschmied jedes Stück.',
  ],
  marks: {
    office:
      'Stempelung und erlaubte Bezeichnungen für Metalle und Steine unterscheiden sich je nach Land; Beschichtung, Herkunft und Behandlung sind zu nennen. Örtliche Vorschriften gehen vor; fragen Sie vor dem Angebot das Amt, das in Ihrem Land Edelmetall prüft, oder eine Fachperson.',
    maker:
      'Den Feingehalt prüft hier kein Amt vorab: Wer stempelt, haftet für ihn (in Deutschland nach dem Feingehaltsgesetz). Beschichtung, Herkunft und Behandlung sind zu nennen. Örtliche Vorschriften gehen vor; fragen Sie vor dem Angebot Ihre Innung, Kammer oder eine Fachperson.',
    unknown:
      'Stempelung und erlaubte Bezeichnungen für Metalle und Steine unterscheiden sich je nach Land; Beschichtung, Herkunft und Behandlung sind zu nennen. Örtliche Vorschriften gehen vor; fragen Sie vor dem Angebot eine Fachperson oder, wo es eines gibt, das Prüfamt.',
  },
  unmeasured: '* Farbe des Metalls nicht gemessen: mit einem Muster vergleichen',
  notMeasured: 'nicht gemessen',
  wording: {
    and: und,
    renderings:
      'Die Bilder sind Computerdarstellungen und größer als die Wirklichkeit; die Maße in Millimetern sind die wahren.',
    colours: {
      yellow: 'gelb',
      rose: 'rosé',
      green: 'grün',
      white: 'weiß',
      silver: 'silber',
      black: 'schwarz',
      grey: 'grau',
      blue: 'blau',
      red: 'rot',
      brown: 'braun',
      ivory: 'elfenbeinfarben',
      turquoise: 'türkis',
      coral: 'korallenfarben',
      multicoloured: 'mehrfarbig',
    },
    title: (metals, stones, width) =>
      `Trauring, ${metals}${stones ? `, Steinbesatz: ${stones}` : ''}, ${width} breit`,
    pair: (looks, bands) => `${bands > 2 ? 'Satz aus drei Ringen' : 'Paar'}: ${looks.join(' mit ')}`,
    made: (metals) => `Trauring aus ${metals}.`,
    widths: (least, most) => `${least} bis ${most}`,
    atBack: (top, back) => `${top} (an der Rückseite ${back})`,
    measures: (width, thickness, bore, grams) =>
      `${width} breit, ${thickness} stark, ${bore} Innendurchmesser; Metall ca. ${grams} vor dem Polieren.`,
    stone: (count, label, cut, size, carats) =>
      `${count} × ${label}, ${cut}, je ${size}, zusammen ca. ${carats} ct`,
    inBore: (stones) => `${stones}, innen in der Schiene gefasst`,
    inFace: (stones) => `${stones}, in der Seitenfläche der Schiene gefasst`,
    by: (length, width) => `${length} auf ${width}`,
    tax: (included, tax) => `${included ? 'inkl.' : 'zzgl.'} ${tax}`,
    metalCharged: (mass, lost) =>
      `Gewicht ${mass === 'as-cast' ? 'im Guss' : 'fertig'}${lost === undefined ? '' : `, mit ${lost} Verlust`}`,
    asked: 'gefordert; kaufmännisch gerundet auf die nächste Stufe',
    work: { making: 'Anfertigung', setting: 'Fassen', markup: 'Aufschlag' },
    stones: (rows, total, least, most, tolerance) =>
      `Steine: ${rows}. Gesamtgewicht aller Steine ca. ${total} ct, nach Tabelle oder Berechnung und nicht gewogen: ` +
      `${least} bis ${most} ct, wenn jeder Stein höchstens ${tolerance} von seinem Maß abweicht.`,
  },
  proof: {
    kind: 'Entwurf zur Freigabe',
    title: 'Ihre Trauringe',
    titleOne: 'Ihr Trauring',
    forWhom: 'Für',
    welcome: (bands) =>
      `Danke für Ihr Vertrauen. So würden wir ${bands > 1 ? 'Ihre Ringe' : 'Ihren Ring'} fertigen; sehen Sie sich alles in Ruhe an.`,
    order: 'Auftrag',
    issued: 'Ausgestellt am',
    validUntil: 'Gültig bis',
    delivery: 'Fertig bis',
    deposit: (share) => `Anzahlung bei Auftrag (${share})`,
    terms: 'Anfertigung, Änderungen und Widerruf',
    resizing: {
      heading: 'Weitenänderung',
      'as-gold': 'in Grenzen, beim Goldschmied',
      stretched: 'nur wenig weiter, nie enger: es lässt sich nichts einlöten',
      'enamelled-anew': 'nur, wenn das Email entfernt und neu gebrannt wird',
      remade: 'nicht möglich: Neuanfertigung',
    },
    band: ['Erster Ring', 'Zweiter Ring'],
    bandFor: (name) => `Ring für ${name}`,
    onlyBand: 'Der Ring',
    size: 'Ringmaß',
    madeAs: (size) => `gefertigt als ${size}`,
    measured: (how) => `gemessen: ${how}`,
    inside: 'Innen',
    insideFigures: (diameter, circumference) => `Ø ${diameter}, Umfang ${circumference}`,
    width: 'Breite',
    thickness: 'Stärke',
    metal: 'Metall',
    stones: 'Steine',
    none: 'keine',
    totalCarats: (carats) => `zusammen ca. ${carats}`,
    mass: 'Metallgewicht',
    approximately: (figure) => `ca. ${figure}`,
    beforePolishing: 'vor dem Polieren',
    engraving: { inside: 'Innengravur', outside: 'Außengravur' },
    noEngraving: 'keine Gravur',
    drawn: 'Ihre Gravur an ihrem Platz',
    view: (side, scale) =>
      `${side === 'inside' ? 'Innenseite, abgerollt' : 'Außenseite, abgerollt'}, Maßstab ${scale} bei Druck mit 100 %`,
    otherLetters: 'Das Bild entstand ohne Ihre Gravur: die Zeichnungen zeigen sie.',
    article: 'Artikelnummer',
    price: 'Preis',
    total: 'Gesamt',
    taxIncluded: (rate, name, amount) => `einschließlich ${rate} ${name} (${amount})`,
    taxExcluded: (rate, name) => `zuzüglich ${rate} ${name}`,
    priceNote: 'Ohne Gravur, Versand und Zubehör, soweit oben nicht genannt.',
    notes: 'Anmerkungen',
    pictureNote: 'Computerdarstellung, größer als die Wirklichkeit; es gelten die Maße in Millimetern.',
    tickHeading: 'Bitte ankreuzen, unterschreiben und zurücksenden',
    chooseOne: 'Bitte wählen Sie eines von beiden:',
    decision: ['Wir geben den Entwurf wie gezeigt frei.', 'Wir wünschen die unten notierten Änderungen.'],
    alsoTick: 'Bitte auch ankreuzen, was zutrifft:',
    tickMeasured: (bands) =>
      `Wir haben ${bands > 1 ? 'beide Ringmaße' : 'das Ringmaß'} für Ringe dieser Breite messen lassen.`,
    tickEngraving:
      'Die Gravur ist genau so geschrieben, wie wir sie wünschen, mit Großbuchstaben, Abständen und Zeichen.',
    summary: 'Was wir bestätigen',
    changes: 'Änderungen und Fragen',
    date: 'Datum',
    signature: 'Unterschrift',
    care: 'Tragen und Pflegen',
    cautions: 'Bitte beachten Sie',
    wearing: {
      always:
        'Nehmen Sie Ringe an Maschinen, bei Handarbeit mit Werkzeug, beim Sport und beim Klettern ab: Bleibt ein Ring hängen, kann er den Finger schwer verletzen.',
      stones:
        'Steine können sich lösen. Bewegt sich einer oder fehlt er, tragen Sie den Ring nicht weiter und bringen Sie ihn zu uns. Lose Steine gehören nicht in Kinderhand: Sie können verschluckt werden.',
      claws: 'Lassen Sie Krappen und Fassungen einmal im Jahr und nach jedem Stoß vom Goldschmied prüfen.',
      cleaning:
        'Reinigen Sie die Ringe in lauwarmem Wasser mit etwas milder Seife und einer weichen Bürste. Halten Sie sie von Chlor und Haushaltsreinigern fern, auch von Ultraschall und Dampf, solange wir nicht sagen, dass sie es vertragen.',
    },
    smallPrint: [
      'Der fertige Ring kann vom Bild in Farbe und Einzelheiten abweichen. Vergleichen Sie Metalle und Steine mit Mustern, bevor Sie sich entscheiden.',
      'Gewichte sind vor Politur und Fassen berechnet und ungefähr; der fertige Ring ist meist leichter.',
      'Breite Ringe sitzen enger als schmale. Lassen Sie die Ringmaße beim Juwelier mit Messringen dieser Breite bestimmen.',
      'Manche Weißmetalle enthalten Nickel, auf das viele Menschen reagieren. Sagen Sie uns, wenn Sie eine Allergie haben; es gelten die örtlichen Grenzwerte für die Nickelabgabe.',
    ],
    marks: {
      office:
        'Stempelung und Bezeichnungen richten sich nach den örtlichen Vorschriften; fragen Sie im Zweifel uns oder das Amt, das Edelmetall prüft.',
      maker:
        'Den Feingehalt stempeln wir und stehen dafür ein; ein Prüfamt gibt es dafür hier nicht. Bezeichnungen richten sich nach den örtlichen Vorschriften.',
      unknown:
        'Stempelung und Bezeichnungen richten sich nach den örtlichen Vorschriften; fragen Sie im Zweifel uns oder eine Fachstelle.',
    },
    signing: SIGNING_GERMAN,
    draft: 'Vorabdruck mit groben Bildern, nicht zum Unterschreiben',
  },
  bench: BENCH_GERMAN,
  ticket: TICKET_GERMAN,
  page: PAGE_GERMAN,
  look: LOOK_GERMAN,
  shaping: SHAPING_GERMAN,
  casterNote: CASTER_NOTE_GERMAN,
  privateNote: `Laden Sie diesen Ordner nicht hoch und geben Sie ihn nicht als Ganzes weiter.

proofs/     Blätter für einzelne Kunden; sie enthalten Namen, Gravur und Anmerkungen.
            Ringe mit Gravur eines Auftrags: Werkstattblätter (order-…-bench-1) und
            Dateien für den Gießer (…-order-…-1, siehe READ-ME.txt) für die Werkstatt, nicht für Kunden;
            Auftragszettel (order-…-ticket) gehen mit dem Auftrag durch die Werkstatt
replies/    hier hinein kommen die Antworten der Paare, wie sie sind (.json, .txt, .eml): „bandwright orders“ liest sie
prices.csv  wie sich die Preise zusammensetzen
caster/     Dateien, aus denen jeder einen Ring gießen lassen kann, und Steinlisten
sheets/     Werkstattblätter

Senden Sie einem Paar nur sein eigenes Blatt. Blätter zu Aufträgen, die aus der Auftragsdatei verschwinden, werden beim nächsten Lauf gelöscht.
`,
};
