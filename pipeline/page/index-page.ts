/**
 * index.html: the catalogue's page. It works from disk and from any web server, and asks no other place for anything.
 *
 * Style, script and the first view are inside; the items come right after it, details, models and the viewer when
 * somebody looks at them, all as scripts of the folder (`page-files.ts`). Without script the first products and the links
 * to their pages still work. The content security policy lets run what was written here, by hash, and the folder's own
 * files; nothing may be fetched.
 */
import type { Catalogue } from '../facts/catalogue-schema.ts';
import { escapeHtml, hashOf, jsonForScript } from '../words/html.ts';
import { pageIndex } from './page-index.ts';
import { card } from './reader/cards.ts';
import { choose } from './reader/choice.ts';
import type { PageIndex } from './reader/page-data.ts';
import { productsOf } from './reader/products.ts';
import { axisName, say } from './reader/say.ts';
import { toHtml } from './tree-html.ts';

/** Cards of the first view on a large screen; the script adds the others of the page. */
const FIRST_CARDS = 6;

/** @param code the bundled script and the style, from `page-files.ts` */
export function indexPage(catalogue: Catalogue, code: { script: string; style: string }): string {
  const index = pageIndex(catalogue);
  const { items, ...start } = index;
  // names of the trade are said in the large view alone, and come with the items
  const said = Object.entries(start.messages).filter(([key]) => !/^(?:rule|cut) /.test(key));
  const bands = items.filter((item) => item.kind === 'variant').length;
  const pairs = items.length - bands;
  const script = `\n${code.script}`;
  const style = `\n${code.style}`;
  return `<!doctype html>
<html lang="${index.language}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<meta http-equiv="Content-Security-Policy" content="${policyOf(style, script)}">
<link rel="icon" href="data:,">
${headLinks(catalogue)}<title>${escapeHtml(catalogue.title)} – ${escapeHtml(catalogue.workshop)}</title>
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
${firstView(index)}
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
<script type="application/json" id="index">${jsonForScript({ ...start, messages: Object.fromEntries(said) })}</script>
<script>${script}</script>
</body>
</html>
`;
}

/** What the page may load and run: itself, by hash, and files of its folder. */
function policyOf(style: string, script: string): string {
  return [
    "default-src 'none'",
    "img-src 'self' file: data: blob:",
    "media-src 'self' file:",
    // what the script sets on elements one by one is allowed anyway
    `style-src '${hashOf(style)}'`,
    `script-src '${hashOf(script)}' 'self' file: 'wasm-unsafe-eval'`,
    "base-uri 'none'",
    "form-action 'none'",
  ].join('; ');
}

/** The first cards, and above them what finds and sorts. */
function firstView(index: PageIndex): string {
  const { items } = index;
  const designs = productsOf(items);
  return `<main id="bands" tabindex="-1">
<p class="lost" role="alert" hidden></p>
<div class="tools">
<p class="found" role="status">${say('inAll', { n: items.length })}</p>
${views(designs.size, productsOf(items, 'looks').size)}<button type="button" class="liked" aria-pressed="false" hidden></button>
<label class="find">${say('find')} <input type="search" autocomplete="off" spellcheck="false"></label>
<label class="order">${say('order')} <select autocomplete="off"><option value="">${say('asPlanned')}</option></select></label>
</div>
<noscript><p>${say('noScript')}</p></noscript>
<ul class="cards${designs.size < 4 ? ' few' : ''}">
${[...designs.values()]
  .slice(0, FIRST_CARDS)
  .map((members) => toHtml(firstCard(members, index)))
  .join('\n')}
</ul>
<nav class="pages" aria-label="${say('pages')}" hidden></nav>
</main>`;
}

function extent(bands: number, pairs: number): string {
  const parts = [];
  if (bands > 0) parts.push(say(bands === 1 ? 'oneBand' : 'bandsCount', { n: bands }));
  if (pairs > 0) parts.push(say(pairs === 1 ? 'onePair' : 'pairsCount', { n: pairs }));
  return parts.join(say('and')) || say('nothingYet');
}

/** A box per axis on which items differ, with how many have each value; the page counts anew when something is ticked. */
function fields({ axes, items }: PageIndex, bands: number, pairs: number): string {
  const { counts } = choose(items, { ticked: new Map(), find: '', order: '' });
  const box = (legend: string, name: string, values: readonly string[]) =>
    fieldset(legend, name, values, counts.get(name));
  const groups = axes.map(({ name, values }) => box(axisName(name), `axis ${name}`, values));
  if (bands > 0 && pairs > 0) groups.unshift(box(say('show'), 'kind', ['Bands', 'Pairs']));
  if (groups.length > 0) groups.push(`<button type="button" class="clear" hidden>${say('showAll')}</button>`);
  return groups.map((g) => `${g}\n`).join('');
}

function fieldset(
  legend: string,
  name: string,
  values: readonly string[],
  counts: ReadonlyMap<string, number> | undefined,
): string {
  const labels = values.map(
    (value) =>
      `<label><input type="checkbox" name="${escapeHtml(name)}" value="${escapeHtml(value)}">` +
      `<span>${escapeHtml(name === 'kind' ? say(value === 'Pairs' ? 'pairs' : 'bands') : value)} <small>${counts?.get(value) ?? 0}</small></span></label>`,
  );
  return `<fieldset><legend>${escapeHtml(legend)}</legend><div class="values">\n${labels.join('\n')}\n</div></fieldset>`;
}

/** The script knows by the number of items which card this is. */
function firstCard(members: PageIndex['items'], index: PageIndex) {
  const made = card(members[0], members, index);
  return { ...made, attributes: { ...made.attributes, 'data-of': members.length } };
}

/** Whether cards stand for designs or for each metal and stone of them, where that is not the same. */
function views(designs: number, looks: number): string {
  if (looks === designs) return '';
  const made = (['designs', 'looks'] as const).map(
    (view) =>
      `<button type="button" data-view="${view}" aria-pressed="${view === 'designs'}">${say(view === 'designs' ? 'byDesign' : 'byLook')}</button>`,
  );
  return `<div class="views" role="group" aria-label="${say('view')}">${made.join('')}</div>\n`;
}

/** For those who find the page or are sent it; addresses must be whole, so there are none without the folder's own. */
function headLinks({ title, workshop, shop, items }: Catalogue): string {
  const told = say('aboutPage', { title, workshop, n: items.length });
  const about = `<meta name="description" content="${escapeHtml(told)}">\n`;
  if (!shop?.baseUrl) return about;
  const home = `${shop.baseUrl.replace(/\/+$/, '')}/`;
  return `${about}<link rel="canonical" href="${escapeHtml(home)}">\n`;
}
