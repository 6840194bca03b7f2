/**
 * index.html: the whole catalogue on one page that works from disk with no network.
 *
 * Style, script and data are inside; only pictures and models are links, all relative. Without script the grid,
 * its captions and the links to the large pictures still work; filters and the detail view need it.
 */
import { readFileSync } from 'node:fs';
import type { BandFacts, Catalogue, CatalogueEntry, PictureEntry } from './catalogue-schema.ts';

const STYLE = readFileSync(new URL('./page/catalogue.css', import.meta.url), 'utf8');
const SCRIPT = readFileSync(new URL('./page/catalogue.js', import.meta.url), 'utf8');

export function indexPage(catalogue: Catalogue): string {
  const variants = catalogue.items.filter((item) => item.kind === 'variant');
  const pairs = catalogue.items.filter((item) => item.kind === 'pair');
  const filters = filterBlock(catalogue);
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src 'self' file: data:; style-src 'unsafe-inline'; script-src 'unsafe-inline'; base-uri 'none'; form-action 'none'">
<title>${escapeHtml(catalogue.title)} – ${escapeHtml(catalogue.workshop)}</title>
<style>
${STYLE}</style>
</head>
<body>
<div class="page">
<header>
<p class="workshop">${escapeHtml(catalogue.workshop)}</p>
<h1>${escapeHtml(catalogue.title)}</h1>
<p class="extent">${extent(variants.length, pairs.length)}</p>
</header>
<div class="${filters ? 'layout' : 'plain'}">
${filters}<main>
<p class="found" role="status"></p>
${section('variant', pairs.length > 0 ? 'Bands' : '', variants)}${section('pair', variants.length > 0 ? 'Pairs' : '', pairs)}</main>
</div>
<footer>
<ul class="notes">
${catalogue.cautions.map((c) => `<li>${escapeHtml(c)}</li>`).join('\n')}
</ul>
</footer>
</div>
<dialog tabindex="-1"></dialog>
<script type="application/json" id="catalogue">${jsonForScript(catalogue)}</script>
<script>
${SCRIPT}</script>
</body>
</html>
`;
}

function extent(bands: number, pairs: number): string {
  const parts = [];
  if (bands > 0) parts.push(`${bands} ${bands === 1 ? 'band' : 'bands'}`);
  if (pairs > 0) parts.push(`${pairs} ${pairs === 1 ? 'pair' : 'pairs'}`);
  return parts.join(' and ') || 'Nothing made yet';
}

/** Axes on which the items differ; the page fills in the counts. */
function filterBlock(catalogue: Catalogue): string {
  const fields = catalogue.axes.flatMap(({ name, values }) => {
    const worn = new Set(catalogue.items.flatMap((item) => item.bands.map((b) => b.axes[name])));
    const shown = values.filter(({ label }) => worn.has(label));
    if (shown.length < 2) return [];
    const labels = shown.map(
      ({ label }) =>
        `<label><input type="checkbox" name="${escapeHtml(name)}" value="${escapeHtml(label)}">` +
        `<span>${escapeHtml(label)} <small></small></span></label>`,
    );
    return [
      `<fieldset><legend>${escapeHtml(name)}</legend><div class="values">\n${labels.join('\n')}\n</div></fieldset>`,
    ];
  });
  if (fields.length === 0) return '';
  return `<details class="filters" open><summary>Choose</summary>
${fields.join('\n')}
<button type="button" class="clear" hidden>Show all</button>
</details>
`;
}

function section(kind: CatalogueEntry['kind'], title: string, items: readonly CatalogueEntry[]): string {
  if (items.length === 0) return '';
  const heading = title ? `<h2>${title}</h2>\n` : '';
  return `<section data-kind="${kind}">\n${heading}<ul class="cards">\n${items.map(card).join('\n')}\n</ul>\n</section>\n`;
}

function card(item: CatalogueEntry): string {
  const pictures = item.shots[0]?.pictures ?? [];
  const large = widest(pictures.filter((p) => p.role === 'picture'));
  const small = pictures.find((p) => p.role === 'thumbnail') ?? large;
  const image = small
    ? `<img src="${href(small.file)}" width="${small.width}" height="${small.height}" loading="lazy" alt="${escapeHtml(item.shots[0]?.alt ?? item.title)}">`
    : '';
  return (
    `<li data-sku="${escapeHtml(item.sku)}"><a href="${large ? href(large.file) : '#'}">` +
    `<div class="tile">${image}</div><p class="name">${escapeHtml(item.title)}</p>` +
    `${item.bands.map((b) => `<p class="line">${escapeHtml(bandLine(b))}</p>`).join('')}</a></li>`
  );
}

/** True size in one line, and the stones as a total. */
function bandLine(band: BandFacts): string {
  const size = band.sizes[0]?.text ?? `${band.circumferenceMm.toFixed(1)} mm`;
  const stones =
    band.stoneCount > 0
      ? `, ${band.stoneCount}\u00a0stones, total approx. ${band.totalCarats.toFixed(2)}\u00a0ct`
      : '';
  return `${size}, ${mm(band.widthMm)} wide, ${mm(band.innerDiameterMm)} inside${stones}`;
}

function mm(value: number): string {
  return `${Number(value.toFixed(2))}\u00a0mm`;
}

/** Of the first format given. */
function widest(pictures: readonly PictureEntry[]): PictureEntry | undefined {
  return pictures.filter((p) => p.format === pictures[0].format).sort((a, b) => b.width - a.width)[0];
}

function href(file: string): string {
  return escapeHtml(file.split('/').map(encodeURIComponent).join('/'));
}

/** Safe in element text and in quoted attributes. */
export function escapeHtml(text: string): string {
  const entities: Record<string, string> = {
    '&': '&amp;',
    '<': '&lt;',
    '>': '&gt;',
    '"': '&quot;',
    "'": '&#39;',
  };
  return text.replace(/[&<>"']/g, (c) => entities[c]);
}

/** JSON that cannot end its script element or be read as markup. */
function jsonForScript(value: unknown): string {
  return JSON.stringify(value).replace(
    /[<>&\u2028\u2029]/g,
    (c) => `\\u${c.charCodeAt(0).toString(16).padStart(4, '0')}`,
  );
}
