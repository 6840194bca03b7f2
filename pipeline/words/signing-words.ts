/** What is said where a couple answers a proof on its page. */

/** What the page's script says; `{order}` and `{file}` stand for what it knows. */
export interface SigningTexts {
  saved: string;
  lacks: Record<'decision' | 'name' | 'date' | 'changes', string>;
  mail: Record<'subject' | 'hello' | 'attach' | 'keep', string>;
}

export interface SigningMessages {
  heading: string;
  /** of one band's wearer, and of two */
  name: string;
  names: readonly [string, string];
  /** what such a reply is and is not */
  nature: string;
  /** the day until which the offer held has passed */
  late(day: string): string;
  save: string;
  mail: string;
  texts: SigningTexts;
}

export const SIGNING_ENGLISH: SigningMessages = {
  heading: 'Or sign here and send it back',
  name: 'Your name',
  names: ['Your name', 'Second name, if both of you sign'],
  nature:
    'Your reply is a text file with your names, the date and what you ticked. It is no qualified electronic signature; what it counts for follows local law. If in doubt, sign on paper.',
  late: (day) => `This offer was valid until ${day}. You may still reply; ask us whether it holds.`,
  save: 'Save the reply',
  mail: 'Draft an e-mail',
  texts: {
    saved:
      'Saved as {file}, most likely among your downloads. Please send us this file. Nothing was sent yet.',
    lacks: {
      decision: 'Please choose: approve, or ask for changes.',
      name: 'Please write your name.',
      date: 'Please give the date.',
      changes: 'Please write down the changes that you would like.',
    },
    mail: {
      subject: 'Order {order}: our reply',
      hello: 'Our reply to the proof of order {order}:',
      attach: 'Please attach the file {file} that was just saved.',
      keep: 'Please leave the lines below as they are: the workshop reads them.',
    },
  },
};

export const SIGNING_GERMAN: SigningMessages = {
  heading: 'Oder hier unterschreiben und zurücksenden',
  name: 'Ihr Name',
  names: ['Ihr Name', 'Zweiter Name, wenn Sie beide unterschreiben'],
  nature:
    'Ihre Antwort ist eine Textdatei mit Ihren Namen, dem Datum und dem, was Sie angekreuzt haben. Sie ist keine qualifizierte elektronische Signatur; was sie gilt, bestimmt das örtliche Recht. Unterschreiben Sie im Zweifel auf Papier.',
  late: (day) =>
    `Dieses Angebot galt bis ${day}. Sie können trotzdem antworten; fragen Sie uns, ob es noch gilt.`,
  save: 'Antwort speichern',
  mail: 'E-Mail vorbereiten',
  texts: {
    saved:
      'Gespeichert als {file}, meist im Ordner „Downloads“. Bitte senden Sie uns diese Datei. Abgeschickt ist noch nichts.',
    lacks: {
      decision: 'Bitte wählen Sie: Freigabe oder Änderungen.',
      name: 'Bitte schreiben Sie Ihren Namen.',
      date: 'Bitte geben Sie das Datum an.',
      changes: 'Bitte schreiben Sie auf, was Sie geändert haben möchten.',
    },
    mail: {
      subject: 'Auftrag {order}: unsere Antwort',
      hello: 'Unsere Antwort zum Entwurf für Auftrag {order}:',
      attach: 'Bitte hängen Sie die eben gespeicherte Datei {file} an.',
      keep: 'Bitte lassen Sie die folgenden Zeilen, wie sie sind: die Werkstatt liest sie ein.',
    },
  },
};
