/** comparison.html: every traced picture that was compared beside the drawing of its model, with their difference. */
import type { Catalogue, ComparisonEntry } from '../facts/catalogue-schema.ts';
import { escapeHtml, hashOf } from '../words/html.ts';

const WORDS = {
  en: {
    heading: 'Pictures beside models',
    lead: 'Left the traced picture, right the GLB of the same band from the same place. Figures are means over pixels of metal, as displayed, in CIELAB (D65, 2°); ΔE is CIEDE2000, of which the eye tells about one unit apart side by side.',
    limits:
      'What the drawing cannot know: a band that mirrors itself and darkens its own ground, lights near enough to be seen at another place from every side, the tint of metals at grazing angles, marks of a finish, and stones as the tracer shows them. Differences of lightness are mostly those; hue and chroma tell whether a metal looks like itself. No reader’s viewer has this light: there colours follow its own.',
    traced: 'picture',
    model: 'model',
    back: 'To the catalogue',
    pixels: 'pixels',
  },
  de: {
    heading: 'Bilder neben Modellen',
    lead: 'Links das berechnete Bild, rechts das GLB desselben Rings vom selben Ort aus. Die Zahlen sind Mittel über Bildpunkte aus Metall, wie angezeigt, in CIELAB (D65, 2°); ΔE ist CIEDE2000, wovon das Auge nebeneinander etwa eine Einheit unterscheidet.',
    limits:
      'Was die Zeichnung nicht wissen kann: dass ein Ring sich selbst spiegelt und seinen Grund verdunkelt, dass nahe Lichter von jeder Seite anderswo stehen, die Färbung von Metall unter flachem Winkel, die Spuren einer Oberfläche und Steine, wie das Bild sie zeigt. Unterschiede der Helligkeit kommen meist daher; Buntton und Buntheit sagen, ob ein Metall aussieht wie es selbst. Der Betrachter eines Lesers hat ein anderes Licht, nach dem sich dort die Farben richten.',
    traced: 'Bild',
    model: 'Modell',
    back: 'Zum Katalog',
    pixels: 'Bildpunkte',
  },
} as const;

const STYLE = `
:root { color-scheme: light }
body { margin: 0 auto; max-width: 62rem; padding: 2.5rem 1.2rem 4rem; font: 400 1rem/1.55 system-ui, sans-serif; color: #222; background: #fff }
h1 { font: 400 1.9rem/1.2 Georgia, serif; margin: 0 0 1rem }
p { max-width: 46rem }
figure { margin: 2.4rem 0 0 }
img { display: block; width: 100%; height: auto }
figcaption { display: flex; flex-wrap: wrap; gap: .2rem 1.6rem; padding-top: .6rem; font-variant-numeric: tabular-nums }
b { font-weight: 600 }
small { color: #666 }
`;

export function comparisonPage({ title, language = 'en', comparisons = [] }: Catalogue): string {
  const words = WORDS[language];
  const figures = comparisons.map((c) => figure(c, words));
  return `<!doctype html>
<html lang="${language}">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src 'self'; style-src '${hashOf(STYLE)}'">
<title>${escapeHtml(title)}: ${words.heading}</title>
<style>${STYLE}</style>
<main>
<h1>${words.heading}</h1>
<p>${words.lead}</p>
<p>${words.limits}</p>
${figures.join('\n')}
<p><a href="index.html">${words.back}</a></p>
</main>
</html>
`;
}

type Words = (typeof WORDS)[keyof typeof WORDS];

function figure(c: ComparisonEntry, words: Words): string {
  const lab = (v: readonly number[]) => v.map((x) => x.toFixed(1)).join(', ');
  const called = `${c.title}, ${c.shot}`;
  const file = c.file.split('/').map(encodeURIComponent).join('/');
  return `<figure>
<img src="${file}" width="${c.width}" height="${c.height}" alt="${escapeHtml(called)}: ${words.traced}, ${words.model}">
<figcaption><span><b>${escapeHtml(called)}</b> <small>${escapeHtml(c.skus.join(', '))}</small></span><span>ΔE ${c.deltaE.toFixed(1)}</span><span>${words.traced}: ${lab(c.traced)}</span><span>${words.model}: ${lab(c.model)}</span><small>${c.pixels} ${words.pixels}</small></figcaption>
</figure>`;
}
