/**
 * index.html: the catalogue's page. It works from disk and from any web server, and asks no other place for anything.
 *
 * Style, script and what the grid needs are inside; details, models and the viewer are scripts of the folder that are
 * loaded when somebody looks at them (`page-files.ts`). Without script the first items, their captions and the links
 * to their large pictures still work. The content security policy lets run what was written here, by hash, and the
 * folder's own files; nothing may be fetched.
 */
import type { Catalogue } from '../facts/catalogue-schema.ts';
import { escapeHtml, hashOf, jsonForScript } from '../words/html.ts';
import { pageIndex } from './page-index.ts';
import { address } from './reader/amounts.ts';
import { PAGE_SIZE } from './reader/choice.ts';
import type { PageIndex, PageItem } from './reader/page-data.ts';
import { axisName, say } from './reader/say.ts';

/** @param code the bundled script and the style, from `page-files.ts` */
export function indexPage(catalogue: Catalogue, code: { script: string; style: string }): string {
  const index = pageIndex(catalogue);
  const bands = index.items.filter((item) => item.kind === 'variant').length;
  const pairs = index.items.length - bands;
  const script = `\n${code.script}`;
  const style = `\n${code.style}`;
  const policy = [
    "default-src 'none'",
    "img-src 'self' file: data: blob:",
    // what the script sets on elements one by one is allowed anyway
    `style-src '${hashOf(style)}'`,
    `script-src '${hashOf(script)}' 'self' file: 'wasm-unsafe-eval'`,
    "base-uri 'none'",
    "form-action 'none'",
  ].join('; ');
  return `<!doctype html>
<html lang="${index.language}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<link rel="icon" href="data:,">
<title>${escapeHtml(catalogue.title)} – ${escapeHtml(catalogue.workshop)}</title>
<style>${style}</style>
</head>
<body>
<a class="skip" href="#bands">${say('toTheBands')}</a>
<div class="page">
<header>
<p class="workshop">${escapeHtml(catalogue.workshop)}</p>
<h1>${escapeHtml(catalogue.title)}</h1>
<p class="extent">${extent(bands, pairs)}</p>
</header>
<div class="layout">
<details class="filters" open><summary>${say('choose')}</summary>
<div class="fields">
${fields(index, bands, pairs)}</div>
</details>
<main id="bands" tabindex="-1">
<div class="tools">
<p class="found" role="status"></p>
<label class="find">${say('find')} <input type="search" autocomplete="off" spellcheck="false"></label>
<label class="order">${say('order')} <select><option value="">${say('asPlanned')}</option></select></label>
</div>
<noscript><p>${say('noScript')}</p></noscript>
<ul class="cards">
${index.items.slice(0, PAGE_SIZE).map(card).join('\n')}
</ul>
<nav class="pages" aria-label="${say('pages')}" hidden></nav>
</main>
</div>
<footer>
<ul class="notes">
${catalogue.cautions.map((c) => `<li>${escapeHtml(c)}</li>`).join('\n')}
</ul>
</footer>
</div>
<aside class="tray" aria-label="${say('toCompare')}" hidden></aside>
<dialog class="look" aria-labelledby="look-title"></dialog>
<dialog class="beside" aria-labelledby="beside-title"></dialog>
<script type="application/json" id="index">${jsonForScript(index)}</script>
<script>${script}</script>
</body>
</html>
`;
}

function extent(bands: number, pairs: number): string {
  const parts = [];
  if (bands > 0) parts.push(say(bands === 1 ? 'oneBand' : 'bandsCount', { n: bands }));
  if (pairs > 0) parts.push(say(pairs === 1 ? 'onePair' : 'pairsCount', { n: pairs }));
  return parts.join(say('and')) || say('nothingYet');
}

/** A box per axis on which items differ; the page fills in the counts. */
function fields({ axes }: PageIndex, bands: number, pairs: number): string {
  const groups = axes.map(({ name, values }) => fieldset(axisName(name), `axis ${name}`, values));
  if (bands > 0 && pairs > 0) groups.unshift(fieldset(say('show'), 'kind', ['Bands', 'Pairs']));
  if (groups.length > 0) groups.push(`<button type="button" class="clear" hidden>${say('showAll')}</button>`);
  return groups.map((g) => `${g}\n`).join('');
}

function fieldset(legend: string, name: string, values: readonly string[]): string {
  const labels = values.map(
    (value) =>
      `<label><input type="checkbox" name="${escapeHtml(name)}" value="${escapeHtml(value)}">` +
      `<span>${escapeHtml(name === 'kind' ? say(value === 'Pairs' ? 'pairs' : 'bands') : value)} <small></small></span></label>`,
  );
  return `<fieldset><legend>${escapeHtml(legend)}</legend><div class="values">\n${labels.join('\n')}\n</div></fieldset>`;
}

/** As the page's own script makes them (`page/grid.ts`). */
function card(item: PageItem): string {
  const { thumbnail: t } = item;
  const image = t
    ? `<img src="${escapeHtml(address(t.file))}" width="${t.width}" height="${t.height}" loading="lazy" alt="${escapeHtml(item.alt)}">`
    : '';
  return (
    `<li data-sku="${escapeHtml(item.sku)}"><a href="${item.large ? escapeHtml(address(item.large)) : '#'}">` +
    `<span class="tile">${image}</span><span class="name">${escapeHtml(item.title)}</span>` +
    `${item.lines.map((line) => `<span class="line">${escapeHtml(line)}</span>`).join('')}</a></li>`
  );
}
