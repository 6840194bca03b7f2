/** What a job ticket says: the paper that goes with an order through the workshop. Weights in g, lengths in mm. */
export interface TicketMessages {
  kind: string;
  /** beside the order's number */
  title(order: string): string;
  printing: string;
  unrolled: string;
  bore: string;
  /** paper that tells all measures */
  sheet: string;
  noLetters: string;
  files: string;
  noFiles: string;
  notes: string;
  handed: string;
  stones: Record<'band' | 'stone' | 'toSet' | 'spare' | 'out' | 'set' | 'lost' | 'back' | 'sign', string>;
  noStones: string;
  weights: string;
  weight: Record<'band' | 'alloy' | 'asCast' | 'castWeighed' | 'finished' | 'weighed' | 'scrap', string>;
  /** under the weights */
  expected: string;
  steps: string;
  step: Record<'what' | 'who', string>;
  work: {
    issued: string;
    cast: string;
    dressed: string;
    letters: string;
    set: string;
    polished: string;
    checked: string;
    marked: string;
    given: string;
  };
  cautions: string;
}

export const TICKET_ENGLISH: TicketMessages = {
  kind: 'Job ticket',
  title: (order) => `Order ${order}`,
  printing: 'Lengths in mm, weights in g. Drawings to scale when printed at 100 %.',
  unrolled: 'Outside unrolled, first edge above, 1:1',
  bore: 'Bore unrolled, as seen by one who looks into the ring, 1:1',
  sheet: 'bench sheet',
  noLetters: 'none',
  files: 'casting files',
  noFiles: 'none in this catalogue',
  notes: 'Notes of the order',
  handed: 'Stones, out and back',
  stones: {
    band: 'band, row',
    stone: 'stone',
    toSet: 'to set',
    spare: 'spare',
    out: 'handed out',
    set: 'set',
    lost: 'broken, lost',
    back: 'back',
    sign: 'signed',
  },
  noStones: 'No stones in this order.',
  weights: 'Metal, expected and weighed',
  weight: {
    band: 'band',
    alloy: 'alloy',
    asCast: 'as cast, approx.',
    castWeighed: 'casting weighed',
    finished: 'finished, approx.',
    weighed: 'finished weighed',
    scrap: 'sprue, filings back',
  },
  expected:
    'Computed from the model: as cast with its sprue allowance, finished before polishing and setting. Look into anything that is far off before work goes on.',
  steps: 'Work, each step signed',
  step: { what: 'step', who: 'date, name' },
  work: {
    issued: 'Metal and stones handed out; alloy and fineness compared with the order',
    cast: 'Casting or blank looked at: porosity, cracks, parts not filled; bore measured',
    dressed: 'Dressed, parts fitted; size, width and thickness measured',
    letters: 'Letters cut and read against this ticket, letter by letter',
    set: 'Stones set; none moves, no claw or grain stands off',
    polished: 'Polished; claws, edges and letters looked at again',
    checked: 'Checked by a second person: size, stones, letters, weight',
    marked: 'Fineness marked as local rules ask',
    given: 'Handed over',
  },
  cautions: 'Cautions',
};

export const TICKET_GERMAN: TicketMessages = {
  kind: 'Auftragszettel',
  title: (order) => `Auftrag ${order}`,
  printing: 'Längen in mm, Gewichte in g. Zeichnungen maßstäblich bei Druck mit 100 %.',
  unrolled: 'Außenseite abgerollt, erste Kante oben, 1:1',
  bore: 'Innenseite abgerollt, wie man in den Ring hineinsieht, 1:1',
  sheet: 'Werkstattblatt',
  noLetters: 'keine',
  files: 'Gussdateien',
  noFiles: 'keine in diesem Katalog',
  notes: 'Anmerkungen des Auftrags',
  handed: 'Steine, Ausgabe und Rückgabe',
  stones: {
    band: 'Ring, Reihe',
    stone: 'Stein',
    toSet: 'zu fassen',
    spare: 'Ersatz',
    out: 'ausgegeben',
    set: 'gefasst',
    lost: 'zerbrochen, verloren',
    back: 'zurück',
    sign: 'gezeichnet',
  },
  noStones: 'Keine Steine in diesem Auftrag.',
  weights: 'Metall, erwartet und gewogen',
  weight: {
    band: 'Ring',
    alloy: 'Legierung',
    asCast: 'im Guss, ca.',
    castWeighed: 'Guss gewogen',
    finished: 'fertig, ca.',
    weighed: 'fertig gewogen',
    scrap: 'Gusskanal, Feilung zurück',
  },
  expected:
    'Aus dem Modell berechnet: im Guss mit dem Zuschlag für den Gusskanal, fertig vor Politur und Fassen. Gehen Sie größeren Abweichungen nach, bevor weitergearbeitet wird.',
  steps: 'Arbeit, jeder Schritt gezeichnet',
  step: { what: 'Schritt', who: 'Datum, Name' },
  work: {
    issued: 'Metall und Steine ausgegeben; Legierung und Feingehalt mit dem Auftrag verglichen',
    cast: 'Guss oder Rohling geprüft: Poren, Risse, nicht ausgelaufene Stellen; Innenmaß gemessen',
    dressed: 'Versäubert, Teile gefügt; Ringmaß, Breite und Stärke gemessen',
    letters: 'Gravur ausgeführt und Buchstabe für Buchstabe mit diesem Zettel verglichen',
    set: 'Steine gefasst; keiner bewegt sich, keine Krappe, kein Korn steht ab',
    polished: 'Poliert; Krappen, Kanten und Gravur noch einmal angesehen',
    checked: 'Von einer zweiten Person geprüft: Ringmaß, Steine, Gravur, Gewicht',
    marked: 'Feingehalt nach den örtlichen Vorschriften gestempelt',
    given: 'Übergeben',
  },
  cautions: 'Bitte beachten',
};
