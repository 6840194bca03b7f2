/**
 * A proof: what a couple is shown, reads, ticks and signs. One page of HTML that holds everything (pictures, logo and
 * fonts inside, no script, no link that loads), and is printed as PDF from these very bytes.
 */
import type { LetterheadPlan } from '../catalogue/client-plan.ts';
import { textIn } from '../catalogue/local-text.ts';
import { fontFaces } from '../catalogue/typeface.ts';
import type { Logo } from '../picture/logo.ts';
import type { Paper } from '../trade/market.ts';
import { escapeHtml, hashOf } from './index-page.ts';
import type { Locale } from './messages/locale.ts';
import { proofStyle } from './proof-style.ts';

/** A band as its column of the proof tells it; figures are formatted. */
export interface ProofBand {
  sku: string;
  /** in the client's system */
  size: string;
  /** further names of the size: what it is made as, ISO */
  sizeMore?: string;
  inside: string;
  width: string;
  thickness: string;
  /** alloy and finish, one each */
  metals: string[];
  stones: string[];
  totalCarats?: string;
  mass: string;
  engraving?: string;
}

export interface ProofPrice {
  bands: string[];
  total: string;
  /** what is said of tax */
  tax?: string;
}

export interface ProofPicture {
  /** JPEG */
  data: Uint8Array;
  width: number;
  height: number;
  alt: string;
}

export interface Proof {
  title: string;
  letterhead: LetterheadPlan;
  logo?: Logo;
  order?: string;
  names?: string;
  issued?: string;
  expires?: string;
  pictures: ProofPicture[];
  bands: ProofBand[];
  price?: ProofPrice;
  notes?: string;
  options: readonly string[];
  /** of the alloys and stones in it */
  cautions: readonly string[];
  /** pictures are coarse */
  draft?: boolean;
}

export function proofPage(proof: Proof, locale: Locale, paper: Paper): string {
  const say = locale.messages.proof;
  const body = `<main>
${letterhead(proof)}
<div class="head"><div><p class="kind">${escapeHtml(say.kind)}</p><h1>${escapeHtml(proof.bands.length > 1 ? say.title : say.titleOne)}</h1>${proof.names ? `<p class="names">${escapeHtml(`${say.forWhom} ${proof.names}`)}</p>` : ''}</div>
${dates(proof, locale)}</div>
${proof.draft ? `<p class="draft">${escapeHtml(say.draft)}</p>` : ''}
${pictures(proof, locale)}
<div class="bands${proof.bands.length > 1 ? '' : ' one'}">${proof.bands.map((b, i) => band(b, i, proof.bands.length, locale)).join('')}</div>
<div class="reply">${replyHead(proof, locale)}
${price(proof, locale)}
${proof.notes ? `<section class="notes"><h2>${escapeHtml(say.notes)}</h2><p>${escapeHtml(proof.notes)}</p></section>` : ''}
${ticks(proof, locale)}
<section class="small"><h2>${escapeHtml(say.cautions)}</h2><ul>${[...proof.cautions, ...say.smallPrint].map((c) => `<li>${escapeHtml(c)}</li>`).join('')}</ul>${proof.letterhead.smallPrint ? `<p>${escapeHtml(textIn(proof.letterhead.smallPrint, locale.language))}</p>` : ''}</section></div>
</main>`;
  // what the page says, less what is data: only the letters it uses are embedded, also those that its style adds
  const words = `${body.replace(/data:[^"]*/g, '')} ${say.kind.toUpperCase()} ·`;
  const title = `${proof.title}, ${say.kind}`;
  const style = `\n${fontFaces(words)}\n${proofStyle(paper)}`;
  return `<!doctype html>
<html lang="${locale.tag}"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><meta name="robots" content="noindex">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; font-src data:; style-src '${hashOf(style)}'; base-uri 'none'; form-action 'none'">
<title>${escapeHtml(title)}</title>
<style>${style}</style></head><body>
${body}
</body></html>
`;
}

function dataUri(type: string, data: Uint8Array): string {
  return `data:${type};base64,${Buffer.from(data).toString('base64')}`;
}

function letterhead({ letterhead: maker, logo }: Proof): string {
  const name = `<span class="maker">${escapeHtml(maker.name)}</span>`;
  const mark = logo
    ? `<img src="${dataUri('image/png', logo.data)}" width="${logo.width}" height="${logo.height}" alt="${escapeHtml(maker.name)}">`
    : name;
  const lines = [
    ...(logo ? [maker.name] : []),
    ...maker.address,
    ...[maker.phone, maker.email, maker.website?.replace(/^https?:\/\/|\/$/g, '')].filter(
      (l) => l !== undefined,
    ),
  ];
  return `<header>${mark}<address>${lines.map((l) => escapeHtml(l)).join('<br>')}</address></header>`;
}

function dates(proof: Proof, { messages, date }: Locale): string {
  const say = messages.proof;
  const rows = [
    [say.order, proof.order],
    [say.issued, proof.issued && date(proof.issued)],
    [say.validUntil, proof.expires && date(proof.expires)],
  ].filter((row): row is [string, string] => row[1] !== undefined);
  if (rows.length === 0) return '';
  return `<dl class="facts">${rows.map(([name, value]) => `<dt>${escapeHtml(name)}</dt><dd>${escapeHtml(value)}</dd>`).join('')}</dl>`;
}

function pictures({ pictures: shown }: Proof, { messages }: Locale): string {
  if (shown.length === 0) return '';
  const images = shown.map(
    (p) =>
      `<img src="${dataUri('image/jpeg', p.data)}" width="${p.width}" height="${p.height}" alt="${escapeHtml(p.alt)}">`,
  );
  return `<figure><div class="pictures${shown.length > 1 ? ' two' : ''}">${images.join('')}</div><figcaption>${escapeHtml(messages.proof.pictureNote)}</figcaption></figure>`;
}

function band(b: ProofBand, index: number, of: number, { messages }: Locale): string {
  const say = messages.proof;
  const list = (items: readonly string[]) => items.map((i) => escapeHtml(i)).join('<br>');
  const stones = [...b.stones, ...(b.totalCarats ? [b.totalCarats] : [])];
  const rows: [string, string][] = [
    [
      say.size,
      `<span class="size">${escapeHtml(b.size)}</span>${b.sizeMore ? `<br><span class="more">${escapeHtml(b.sizeMore)}</span>` : ''}`,
    ],
    [say.inside, escapeHtml(b.inside)],
    [say.width, escapeHtml(b.width)],
    [say.thickness, escapeHtml(b.thickness)],
    [say.metal, list(b.metals)],
    [say.stones, stones.length > 0 ? list(stones) : escapeHtml(say.none)],
    [say.mass, escapeHtml(b.mass)],
    [
      say.engraving,
      b.engraving
        ? `<span class="engraved">${escapeHtml(b.engraving)}</span>`
        : `<span class="more">${escapeHtml(say.noEngraving)}</span>`,
    ],
    [say.article, `<span class="more">${escapeHtml(b.sku)}</span>`],
  ];
  const heading = of > 1 ? say.band[index] : say.onlyBand;
  return `<section class="band"><h2>${escapeHtml(heading)}</h2><dl>${rows.map(([name, value]) => `<div class="fact"><dt>${escapeHtml(name)}</dt><dd>${value}</dd></div>`).join('')}</dl></section>`;
}

function price({ price: asked }: Proof, { messages }: Locale): string {
  if (!asked) return '';
  const say = messages.proof;
  const rows =
    asked.bands.length > 1
      ? asked.bands.map(
          (amount, i) =>
            `<tr><th>${escapeHtml(say.priceBand(i + 1))}</th><td>${escapeHtml(amount)}</td></tr>`,
        )
      : [];
  const under = [asked.tax, say.priceNote].filter((l) => l !== undefined).join('. ');
  return `<section class="price"><h2>${escapeHtml(say.price)}</h2><table>${rows.join('')}<tr><th class="total">${escapeHtml(say.total)}</th><td class="total">${escapeHtml(asked.total)}</td></tr></table><p class="under">${escapeHtml(under)}</p></section>`;
}

/** The page that is sent back stands for itself: whose it is, and the sizes and engravings that are confirmed. */
function replyHead(proof: Proof, { messages }: Locale): string {
  const say = messages.proof;
  const whose = [
    proof.letterhead.name,
    ...(proof.order ? [`${say.order} ${proof.order}`] : []),
    ...(proof.names ? [proof.names] : []),
  ];
  const rows = proof.bands.map((b, i) => {
    const heading = proof.bands.length > 1 ? say.band[i] : say.onlyBand;
    const size = [b.size, ...(b.sizeMore ? [b.sizeMore] : [])].join(', ');
    const engraving = b.engraving
      ? `${escapeHtml(say.engraving)}: <span class="engraved">${escapeHtml(b.engraving)}</span>`
      : escapeHtml(say.noEngraving);
    return `<tr><th>${escapeHtml(heading)}</th><td>${escapeHtml(b.sku)}</td><td>${escapeHtml(`${say.size} ${size}`)}</td><td>${engraving}</td></tr>`;
  });
  return `<p class="whose">${whose.map(escapeHtml).join(' · ')}</p>
<section class="summary"><h2>${escapeHtml(say.summary)}</h2><table>${rows.join('')}</table></section>`;
}

function ticks(proof: Proof, { messages }: Locale): string {
  const say = messages.proof;
  const engraved = proof.bands.some((b) => b.engraving);
  const lines = [
    ...say.ticks(proof.bands.length),
    ...(engraved ? [say.tickEngraving] : []),
    ...proof.options,
  ];
  const signature = `<div><div class="blank"></div><span>${escapeHtml(say.signature)}</span></div>`;
  return `<section class="ticks"><h2>${escapeHtml(say.tickHeading)}</h2><ul>${lines.map((l) => `<li>${escapeHtml(l)}</li>`).join('')}</ul></section>
<section class="sign"><span class="more">${escapeHtml(say.changes)}</span><div class="blank"></div><div class="blank"></div><div class="blank"></div>
<div class="signatures"><div><div class="blank"></div><span>${escapeHtml(say.date)}</span></div>${signature}${proof.bands.length > 1 ? signature : ''}</div></section>`;
}
