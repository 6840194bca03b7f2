/** What a caster must read before the files beside it are used; figures come formatted. */
export interface CasterNote {
  first: string;
  shrinkage(percent: string): string;
  noShrinkage: string;
  polish(mm: string): string;
  noPolish: string;
  sprue(percent: string): string;
  noSprue: string;
  /** @param name how names of the files begin */
  named(name: string): string;
  uncastable(alloys: string): string;
  /** common practice of casting; they end by deferring to who is qualified */
  cautions: string;
}

export const CASTER_NOTE_ENGLISH: CasterNote = {
  first: 'READ THIS BEFORE YOU PRINT, MILL OR CAST ANY FILE OF THIS FOLDER.\nAll lengths are in mm.',
  shrinkage: (percent) =>
    `SHRINKAGE IS ALREADY IN THE FILES: they are ${percent} larger (linear) than the cold casting is to be. Do not add it again.`,
  noShrinkage: 'SHRINKAGE IS NOT IN THE FILES: they have the size the cold casting is to have.',
  polish: (mm) =>
    `METAL FOR POLISHING IS ALREADY IN THE FILES: ${mm} on outside, bore and faces; none on claws, beads, seats and seam walls. Do not add it again.`,
  noPolish: 'METAL FOR POLISHING IS NOT IN THE FILES: surfaces lie where they are to be when finished.',
  sprue: (percent) => `No sprue is in the files; masses as cast count ${percent} of the part’s mass for it.`,
  noSprue: 'No sprue is in the files, nor in the masses as cast.',
  named: (name) =>
    `Names begin with what is in the file (here ${name}), and so do the header of each STL and the title of each 3MF. A name with "not-for-ordinary-casting" means what it says. Parts of one alloy that do not touch lie in one file, in their places: 3MF names each by its lanes and alloy, STL has no names and shows them as bodies apart.`,
  uncastable: (alloys) =>
    `NOT FOR AN ORDINARY CASTER: ${alloys}. These metals melt far hotter than jewellery alloys or react with air, crucible and investment; hot shavings and dust burn. Have them machined, or ask a specialist with vacuum or inert-gas equipment. Ceramic, carbon fibre, enamel, resin and wood are no metals, and layered metals lose their pattern when they melt: their files show what is to be sintered and ground, laid in, cut or forged.`,
  cautions: `CAUTIONS
- Shrinkage differs with alloy, wax or resin, investment and machine. Settle who allows for what before the first casting, cast a trial and measure its bore.
- Look at every casting for porosity, cracks and parts that did not fill, above all claws, beads, thin walls and letters, before stones are set. A claw that breaks loses a stone; a sharp edge or a crack hurts a finger.
- Stones are set after casting. Cast none in place unless caster and setter have agreed on it.
- Investment dust harms the lungs, burn-out gives off harmful fumes, molten metal burns: ventilate, wear protection, follow the data sheets of what you use.
- Use an alloy whose fineness and nickel release suit the hallmark and description rules of the place where it is sold.
- The files are checked for being closed and of the right volume, not for pouring. A qualified caster and a qualified goldsmith decide whether a piece is fit to be made.
`,
};

export const CASTER_NOTE_GERMAN: CasterNote = {
  first:
    'LESEN SIE DIES, BEVOR SIE EINE DATEI DIESES ORDNERS DRUCKEN, FRÄSEN ODER GIESSEN.\nAlle Längen sind in mm.',
  shrinkage: (percent) =>
    `DAS SCHWINDMASS IST IN DEN DATEIEN SCHON ENTHALTEN: Sie sind um ${percent} (linear) größer, als das kalte Gussteil werden soll. Schlagen Sie es nicht noch einmal auf.`,
  noShrinkage:
    'DAS SCHWINDMASS IST IN DEN DATEIEN NICHT ENTHALTEN: Sie haben die Größe, die das kalte Gussteil haben soll.',
  polish: (mm) =>
    `DIE POLIERZUGABE IST IN DEN DATEIEN SCHON ENTHALTEN: ${mm} auf Außenseite, Innenseite und Seitenflächen; keine auf Krappen, Körnern, Fassungen und Wänden an Trennlinien. Schlagen Sie sie nicht noch einmal auf.`,
  noPolish:
    'EINE POLIERZUGABE IST IN DEN DATEIEN NICHT ENTHALTEN: Die Flächen liegen, wo sie am fertigen Ring liegen sollen.',
  sprue: (percent) =>
    `Ein Gusskanal ist in den Dateien nicht enthalten; die Gussgewichte rechnen dafür ${percent} des Teilegewichts.`,
  noSprue: 'Ein Gusskanal ist weder in den Dateien noch in den Gussgewichten enthalten.',
  named: (name) =>
    `Die Dateinamen beginnen (englisch) mit dem, was die Datei enthält (hier ${name}), ebenso der Kopf jeder STL-Datei und der Titel jeder 3MF-Datei. „not-for-ordinary-casting“ heißt: nicht für eine gewöhnliche Gießerei. Teile einer Legierung, die sich nicht berühren, liegen an ihrem Platz in einer Datei: In der 3MF-Datei heißt jedes nach Bahnen und Legierung, STL kennt keine Namen und zeigt getrennte Körper.`,
  uncastable: (alloys) =>
    `NICHT FÜR EINE GEWÖHNLICHE GIESSEREI: ${alloys}. Diese Metalle schmelzen weit heißer als Schmucklegierungen oder reagieren mit Luft, Tiegel und Einbettmasse; heiße Späne und Staub brennen. Lassen Sie die Teile spanend fertigen, oder fragen Sie einen Fachbetrieb mit Vakuum- oder Schutzgasanlage. Keramik, Kohlefaser, Email, Harz und Holz sind keine Metalle, und geschichtete Metalle verlieren beim Schmelzen ihr Muster: Ihre Dateien zeigen, was zu sintern und zu schleifen, einzulegen, zu schneiden oder zu schmieden ist.`,
  cautions: `BITTE BEACHTEN
- Die Schwindung hängt von Legierung, Wachs oder Harz, Einbettmasse und Anlage ab. Klären Sie vor dem ersten Guss, wer was zugibt, gießen Sie ein Probestück und messen Sie dessen Innenmaß.
- Prüfen Sie jedes Gussteil vor dem Fassen auf Poren, Risse und nicht ausgelaufene Stellen, vor allem an Krappen, Körnern, dünnen Wänden und Buchstaben. Bricht eine Krappe, geht ein Stein verloren; scharfe Kanten und Risse verletzen den Finger.
- Steine werden nach dem Guss gefasst. Gießen Sie keine mit ein, wenn Gießerei und Fasser das nicht vereinbart haben.
- Staub von Einbettmasse schadet der Lunge, beim Ausbrennen entstehen schädliche Dämpfe, flüssiges Metall verbrennt: Lüften Sie, tragen Sie Schutzausrüstung, beachten Sie die Datenblätter der Stoffe.
- Verwenden Sie eine Legierung, deren Feingehalt und Nickelabgabe den Regeln für Stempelung und Bezeichnung am Ort des Verkaufs genügen.
- Die Dateien sind darauf geprüft, dass sie geschlossen sind und das richtige Volumen haben, nicht auf ihre Gießbarkeit. Ob ein Stück gefertigt werden kann, entscheiden eine Gießerei und ein Goldschmied vom Fach.
`,
};
