/**
 * A proof: what a couple is shown, reads, ticks and signs. One page of HTML that holds everything (pictures, logo and
 * fonts inside, no link that loads), and is printed as PDF from these very bytes. That of an order has a script, let
 * through by its hash, with which it is answered; without it all is there but for that.
 */

import type { Logo } from '../picture/logo.ts';
import type { LetterheadPlan } from '../plan/client-plan.ts';
import { textIn } from '../plan/local-text.ts';
import { fontFaces } from '../plan/typeface.ts';
import type { OtherSize } from '../trade/bench-care.ts';
import type { PaperFormat } from '../trade/market.ts';
import { namesOfTwo } from '../words/couple-names.ts';
import { escapeHtml, hashOf } from '../words/html.ts';
import type { Locale } from '../words/locale.ts';
import type { Messages } from '../words/messages.ts';
import { proofStyle } from './proof-style.ts';
import { SIGNING_STYLE, type Signing, signingData, signingSection } from './signing.ts';

/** A band as its column of the proof tells it; figures are formatted. */
export interface ProofBand {
  sku: string;
  /** in the client's system */
  size: string;
  /** further names of the size: what it is made as, ISO */
  sizeMore?: string;
  /** how the size was measured */
  measured?: string;
  inside: string;
  width: string;
  thickness: string;
  /** alloy and finish, one each */
  metals: string[];
  stones: string[];
  totalCarats?: string;
  mass: string;
  /** how another size can be made of it later */
  resizing: 'as-gold' | OtherSize;
  /** letters as they are cut into the model, each with a drawing of them in their place: SVG */
  letters: ProofLetters[];
}

export interface ProofLetters {
  side: 'inside' | 'outside';
  text: string;
  drawing: string;
  /** of the drawing, such as 2:1 */
  scale: string;
}

export interface ProofPrice {
  bands: string[];
  total: string;
  /** paid with the order: what it is called, and the amount */
  deposit?: readonly [name: string, amount: string];
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
  delivery?: string;
  /** the maker's own words on custom work and withdrawal */
  terms?: string;
  pictures: ProofPicture[];
  /** the pictures show the bands without the letters that are cut for this order */
  otherLetters?: boolean;
  bands: ProofBand[];
  price?: ProofPrice;
  notes?: string;
  options: readonly string[];
  /** of the alloys and stones in it */
  cautions: readonly string[];
  /** pictures are coarse */
  draft?: boolean;
}

/** @param signing left out: there is paper alone to sign on */
export function proofPage(proof: Proof, locale: Locale, paper: PaperFormat, signing?: Signing): string {
  const say = locale.messages.proof;
  const headings = bandHeadings(proof, locale);
  const body = `<main><div class="first">
${letterhead(proof)}
<div class="head"><div><p class="kind">${escapeHtml(say.kind)}</p><h1>${escapeHtml(proof.bands.length > 1 ? say.title : say.titleOne)}</h1>${proof.names ? `<p class="names">${escapeHtml(`${say.forWhom} ${proof.names}`)}</p>` : ''}</div>
${dates(proof, locale)}</div>
<p class="welcome">${escapeHtml(say.welcome(proof.bands.length))}</p>
${proof.draft ? `<p class="draft">${escapeHtml(say.draft)}</p>` : ''}
${pictures(proof, locale)}
<div class="bands${proof.bands.length > 1 ? '' : ' one'}">${proof.bands.map((b, i) => band(b, headings[i], locale)).join('')}</div>
${drawings(proof, headings, locale)}${fine(say.care, wearing(proof, locale))}</div>
<div class="reply">${replyHead(proof, headings, locale)}
${price(proof, headings, locale)}
${proof.notes ? `<section class="notes"><h2>${escapeHtml(say.notes)}</h2><p>${escapeHtml(proof.notes)}</p></section>` : ''}
${proof.terms ? `<section class="notes"><h2>${escapeHtml(say.terms)}</h2><p>${escapeHtml(proof.terms)}</p></section>` : ''}
${ticks(proof, locale)}${signing ? signingSection(proof, locale) : ''}
${fine(say.cautions, [...proof.cautions, ...say.smallPrint, say.marks[locale.markedBy]], textIn(proof.letterhead.smallPrint ?? '', locale.language))}</div>
</main>`;
  // what the page says, less what is data: only the letters it uses are embedded, also those that its style adds
  const scripted = signing ? JSON.stringify(say.signing.texts) : '';
  const words = `${body.replace(/data:[^"]*/g, '')} ${say.kind.toUpperCase()} ${scripted} ·`;
  const title = `${proof.title}, ${say.kind}`;
  const style = `\n${fontFaces(words)}\n${proofStyle(paper)}${signing ? SIGNING_STYLE : ''}`;
  const scripts = signing ? ` script-src '${hashOf(signing.script)}';` : '';
  return `<!doctype html>
<html lang="${locale.tag}"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><meta name="robots" content="noindex">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; font-src data:; style-src '${hashOf(style)}';${scripts} base-uri 'none'; form-action 'none'">
<title>${escapeHtml(title)}</title>
${signing ? `${signingData(proof, signing, locale)}\n` : ''}<style>${style}</style></head><body>
${body}
${signing ? `<script>${signing.script}</script>` : ''}</body></html>
`;
}

/** Lines in small type under a heading, and what the maker adds to them. */
function fine(heading: string, lines: readonly string[], more = ''): string {
  const list = lines.map((line) => `<li>${escapeHtml(line)}</li>`).join('');
  return `<section class="small"><h2>${escapeHtml(heading)}</h2><ul>${list}</ul>${more ? `<p>${escapeHtml(more)}</p>` : ''}</section>`;
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
    [say.delivery, proof.delivery && date(proof.delivery)],
  ].filter((row): row is [string, string] => row[1] !== undefined);
  if (rows.length === 0) return '';
  return `<dl class="facts">${rows.map(([name, value]) => `<dt>${escapeHtml(name)}</dt><dd>${escapeHtml(value)}</dd>`).join('')}</dl>`;
}

function pictures(proof: Proof, { messages }: Locale): string {
  const { pictures: shown } = proof;
  const say = messages.proof;
  if (shown.length === 0) return '';
  const images = shown.map(
    (p) =>
      `<span class="shot"><img src="${dataUri('image/jpeg', p.data)}" width="${p.width}" height="${p.height}" alt="${escapeHtml(p.alt)}"></span>`,
  );
  const note = [proof.otherLetters ? say.otherLetters : '', say.pictureNote].join(' ').trim();
  return `<figure><div class="pictures${shown.length > 1 ? ' two' : ''}">${images.join('')}</div><figcaption>${escapeHtml(note)}</figcaption></figure>`;
}

function band(b: ProofBand, heading: string, { messages }: Locale): string {
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
    [say.resizing.heading, escapeHtml(say.resizing[b.resizing])],
    ...letterRows(b, messages),
    [say.article, `<span class="more">${escapeHtml(b.sku)}</span>`],
  ];
  return `<section class="band"><h2>${escapeHtml(heading)}</h2><dl>${rows.map(([name, value]) => `<div class="fact"><dt>${escapeHtml(name)}</dt><dd>${value}</dd></div>`).join('')}</dl></section>`;
}

/** What is cut inside, and outside if anything is; one row, so that the facts of two bands stay side by side. */
function letterRows({ letters }: ProofBand, { proof: say }: Messages): [string, string][] {
  const cut = (text: string) => `<span class="engraved">${escapeHtml(text)}</span>`;
  const [first, ...more] = letters;
  if (!first) return [[say.engraving.inside, `<span class="more">${escapeHtml(say.noEngraving)}</span>`]];
  const others = more.map(({ side, text }) => `<br>${escapeHtml(say.engraving[side])}: ${cut(text)}`);
  return [[say.engraving[first.side], `${cut(first.text)}${others.join('')}`]];
}

/** What each band is called: by its wearer where the order names two. */
function bandHeadings({ names, bands }: Proof, { messages }: Locale): string[] {
  const say = messages.proof;
  if (bands.length === 1) return [say.onlyBand];
  const two = names === undefined ? undefined : namesOfTwo(names);
  return two ? two.map(say.bandFor) : [...say.band];
}

function price(proof: Proof, headings: readonly string[], { messages }: Locale): string {
  const { price: asked } = proof;
  if (!asked) return '';
  const say = messages.proof;
  const rows =
    asked.bands.length > 1
      ? asked.bands.map(
          (amount, i) => `<tr><th>${escapeHtml(headings[i])}</th><td>${escapeHtml(amount)}</td></tr>`,
        )
      : [];
  const deposit = asked.deposit
    ? `<tr><th>${escapeHtml(asked.deposit[0])}</th><td>${escapeHtml(asked.deposit[1])}</td></tr>`
    : '';
  const under = [asked.tax, say.priceNote].filter((l) => l !== undefined).join('. ');
  return `<section class="price"><h2>${escapeHtml(say.price)}</h2><table>${rows.join('')}<tr><th class="total">${escapeHtml(say.total)}</th><td class="total">${escapeHtml(asked.total)}</td></tr>${deposit}</table><p class="under">${escapeHtml(under)}</p></section>`;
}

/** The page that is sent back stands for itself: whose it is, and the sizes and engravings that are confirmed. */
function replyHead(proof: Proof, headings: readonly string[], { messages }: Locale): string {
  const say = messages.proof;
  const whose = [
    proof.letterhead.name,
    ...(proof.order ? [`${say.order} ${proof.order}`] : []),
    ...(proof.names ? [proof.names] : []),
  ];
  const rows = proof.bands.map((b, i) => {
    const size = [b.size, ...(b.sizeMore ? [b.sizeMore] : [])].join(', ');
    const measured = b.measured ? `<br>${escapeHtml(say.measured(b.measured))}` : '';
    const cut = b.letters.map(
      ({ side, text }) =>
        `${escapeHtml(say.engraving[side])}: <span class="engraved">${escapeHtml(text)}</span>`,
    );
    const engraving = cut.length > 0 ? cut.join('<br>') : escapeHtml(say.noEngraving);
    return `<tr><th>${escapeHtml(headings[i])}</th><td>${escapeHtml(b.sku)}</td><td>${escapeHtml(`${say.size} ${size}`)}${measured}</td><td>${engraving}</td></tr>`;
  });
  return `<p class="whose">${whose.map(escapeHtml).join(' · ')}</p>
<section class="summary"><h2>${escapeHtml(say.summary)}</h2><table>${rows.join('')}</table></section>`;
}

/** Every band's letters to scale, as they stand in the model. */
function drawings({ bands }: Proof, headings: readonly string[], { messages }: Locale): string {
  const say = messages.proof;
  const drawn = bands.flatMap((b, i) =>
    b.letters.map(({ side, drawing, scale }) => {
      const words = [...(bands.length > 1 ? [headings[i]] : []), say.view(side, scale)].join(': ');
      return `<div class="drawing"><p class="under">${escapeHtml(words)}</p>${drawing}</div>`;
    }),
  );
  if (drawn.length === 0) return '';
  return `<section class="drawings"><h2>${escapeHtml(say.drawn)}</h2>${drawn.join('')}</section>\n`;
}

function ticks(proof: Proof, { messages }: Locale): string {
  const say = messages.proof;
  const engraved = proof.bands.some((b) => b.letters.length > 0);
  const lines = [
    say.tickMeasured(proof.bands.length),
    ...(engraved ? [say.tickEngraving] : []),
    ...proof.options,
  ];
  // of boxes of one name a browser lets one be ticked
  const box = (kind: 'radio' | 'checkbox') => (line: string) =>
    `<li><label><input type="${kind}"${kind === 'radio' ? ' name="decision"' : ''}>${escapeHtml(line)}</label></li>`;
  const signature = `<div><div class="blank"></div><span>${escapeHtml(say.signature)}</span></div>`;
  return `<section class="ticks"><h2>${escapeHtml(say.tickHeading)}</h2><p>${escapeHtml(say.chooseOne)}</p><ul>${say.decision.map(box('radio')).join('')}</ul><p>${escapeHtml(say.alsoTick)}</p><ul>${lines.map(box('checkbox')).join('')}</ul></section>
<section class="sign"><span class="more">${escapeHtml(say.changes)}</span><div class="blank"></div><div class="blank"></div><div class="blank"></div>
<div class="signatures"><div><div class="blank"></div><span>${escapeHtml(say.date)}</span></div>${signature}${proof.bands.length > 1 ? signature : ''}</div></section>`;
}

/** What wearers should know of their rings. */
function wearing({ bands }: Proof, { messages }: Locale): string[] {
  const { always, stones, claws, cleaning } = messages.proof.wearing;
  return bands.some((b) => b.stones.length > 0) ? [always, stones, claws, cleaning] : [always, cleaning];
}
