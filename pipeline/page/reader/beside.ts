/** Two items side by side, pictures and outlines at one scale. */

import { totalPrice } from '../../facts/total-price.ts';
import { address, mm } from './amounts.ts';
import { make, signButton } from './element.ts';
import { factGroups } from './facts.ts';
import type { DetailBand, DetailShot, ItemDetail } from './page-data.ts';
import { framesShown, ownPictures, shotName, shownShots } from './pictures.ts';
import { priceText, say } from './say.ts';

type Two = readonly [ItemDetail, ItemDetail];

export function showBeside(dialog: HTMLDialogElement, two: Two, close: () => void): void {
  const shots = commonShots(two);
  const view = make('div', { class: 'pair-view' });
  const show = (name: string | undefined) => view.replaceChildren(...(name ? picturesAt(two, name) : []));
  const tools: Node[] = [];
  if (shots.length > 1) {
    const select = make(
      'select',
      {},
      ...shots.map((s) => make('option', { value: s.name }, shotName(s, two[0]))),
    );
    select.addEventListener('change', () => show(select.value));
    tools.push(make('label', { class: 'order' }, `${say('picture')} `, select));
  }
  show(shots[0]?.name);
  dialog.replaceChildren(
    make(
      'div',
      { class: 'bar' },
      make('span', { class: 'where' }),
      ...tools,
      signButton('✕', say('close'), close),
    ),
    make(
      'div',
      { class: 'comparison' },
      make('h2', { id: 'beside-title', tabindex: -1 }, say('sideBySide')),
      view,
      make('h3', { class: 'group' }, say('outlines')),
      outlines(two),
      ...prices(two),
      ...table(two),
    ),
  );
}

/** Shots both have, once each for a turntable. */
export function commonShots([a, b]: Two): DetailShot[] {
  const names = new Set(shownShots(b).map((s) => s.name));
  return shownShots(a).filter((s) => names.has(s.name));
}

/** Widths of the two pictures as shares of their columns, so that a millimetre is as long in both. */
export function commonScale(a: number | undefined, b: number | undefined): [number, number] | undefined {
  if (a === undefined || b === undefined) return undefined;
  const most = Math.max(a, b);
  return [a / most, b / most];
}

function picturesAt(two: Two, name: string): Node[] {
  const shots = two.map((item) => item.shots.find((s) => s.name === name)!);
  // a frame cut out of a picture has a scale of its own
  const [left, right] = shots.map((s) => (framesShown(s)[0] === '' ? s.frameMm : undefined));
  const shares = commonScale(left, right);
  const figures = two.map((item, i) => {
    const files = ownPictures(shots[i]);
    const large = files[files.length - 1];
    const img = make('img', {
      src: address(large.file, large.v),
      width: large.width,
      height: large.height,
      alt: shots[i].alt ?? item.title,
    });
    img.style.width = `${100 * (shares?.[i] ?? 1)}%`;
    return make('figure', {}, make('div', { class: 'tile' }, img), make('figcaption', {}, item.sku));
  });
  const largest = Math.max(shots[0].frameMm ?? 0, shots[1].frameMm ?? 0);
  const note = shares ? say('sameScale', { width: mm(largest, 1) }) : say('noScale');
  return [make('div', { class: 'two' }, ...figures), make('p', { class: 'hint' }, note)];
}

const SVG = 'http://www.w3.org/2000/svg';

/** Front and side of every band, drawn from its measures. */
function outlines(two: Two): HTMLElement {
  const outer = (b: DetailBand) => b.innerDiameterMm + 2 * b.thicknessMm;
  const gap = 2;
  const wide = (item: ItemDetail) => item.bands.reduce((sum, b) => sum + outer(b) + b.widthMm + 2 * gap, gap);
  const width = Math.max(...two.map(wide));
  const height = Math.max(...two.flatMap((i) => i.bands.map(outer))) + 2 * gap;
  const drawings = two.map((item) => {
    const svg = document.createElementNS(SVG, 'svg');
    svg.setAttribute('viewBox', `0 0 ${width.toFixed(2)} ${height.toFixed(2)}`);
    svg.setAttribute('role', 'img');
    const said = item.bands.map((b) =>
      say('outline', { outside: mm(outer(b)), inside: mm(b.innerDiameterMm), width: mm(b.widthMm) }),
    );
    svg.setAttribute('aria-label', `${item.sku}: ${said.join('; ')}`);
    let x = gap + (width - wide(item)) / 2;
    for (const band of item.bands) {
      const r = outer(band) / 2;
      const floor = height - gap;
      svg.append(shape('circle', { cx: x + r, cy: floor - r, r }));
      svg.append(shape('circle', { cx: x + r, cy: floor - r, r: band.innerDiameterMm / 2 }));
      svg.append(shape('rect', { x: x + 2 * r + gap, y: floor - 2 * r, width: band.widthMm, height: 2 * r }));
      x += 2 * r + band.widthMm + 2 * gap;
    }
    return make('figure', {}, svg as unknown as HTMLElement, make('figcaption', {}, said.join('; ')));
  });
  return make('div', { class: 'two outlines' }, ...drawings);
}

function shape(name: string, attributes: Record<string, number>): SVGElement {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value.toFixed(3));
  return element;
}

/** What each costs in all, or that it is not offered; left out where neither has a price. */
function prices(two: Two): HTMLElement[] {
  const values = two.map((item) => {
    if (item.bands.some((b) => b.held)) return say('heldBack');
    const price = totalPrice(item.bands);
    return price && priceText(price);
  });
  if (values.every((v) => v === undefined)) return [];
  return [
    sideTable(
      two.map((item) => item.sku),
      [
        factRow(
          say('price'),
          values.map((v) => v ?? '–'),
        ),
      ],
    ),
  ];
}

/** Facts of both; where they differ the row says so. */
function table(two: Two): HTMLElement[] {
  const most = Math.max(...two.map((i) => i.bands.length));
  const parts: HTMLElement[] = [];
  for (let band = 0; band < most; band++) {
    const groups = two.map((item) => (item.bands[band] ? factGroups(item.bands[band]) : []));
    const titles = [...new Set(groups.flat().map((g) => g.title))];
    const rows: HTMLElement[] = [];
    for (const title of titles) {
      const facts = groups.map((g) => g.find((x) => x.title === title)?.facts ?? []);
      // what only the other band has comes before the total of both
      const told = facts.flat().sort((a, b) => Number(a.total === true) - Number(b.total === true));
      const names = [...new Set(told.map((f) => f.name))];
      rows.push(make('tr', { class: 'head' }, make('th', { scope: 'rowgroup', colspan: 3 }, title)));
      for (const name of names) {
        const values = facts.map((f) => f.find((x) => x.name === name)?.value ?? '–');
        rows.push(factRow(name, values));
      }
    }
    const heads = two.map((item) =>
      item.bands.length > 1 ? say('skuBand', { sku: item.sku, n: band + 1 }) : item.sku,
    );
    parts.push(sideTable(heads, rows));
  }
  return parts;
}

function sideTable(heads: readonly string[], rows: readonly HTMLElement[]): HTMLElement {
  const columns = heads.map((head) => make('th', { scope: 'col' }, head));
  return make(
    'table',
    { class: 'both' },
    make('thead', {}, make('tr', {}, make('td', {}), ...columns)),
    make('tbody', {}, ...rows),
  );
}

function factRow(name: string, values: readonly string[]): HTMLElement {
  const differs = values[0] !== values[1];
  return make(
    'tr',
    differs ? { class: 'differs' } : {},
    make('th', { scope: 'row' }, name, differs ? make('small', {}, say('differs')) : ''),
    ...values.map((v) => make('td', {}, v)),
  );
}
