/** Where a couple answers a proof on its page: who signs, when, and what comes back. Paper keeps its lines to write on. */

import type { LetterheadPlan } from '../plan/client-plan.ts';
import { escapeHtml, jsonForScript } from '../words/html.ts';
import type { Locale } from '../words/locale.ts';
import { MOST_TYPED } from './reply.ts';
import { SIGNING_DATA, type SigningData } from './signing-data.ts';

/** What makes a proof one that is answered on its page. */
export interface Signing {
  /** name of its files, without ending */
  proof: string;
  digest: string;
  /** compiled from `reader/signing.ts` */
  script: string;
}

/** What of a proof its answer is about. */
interface Answered {
  order?: string;
  expires?: string;
  letterhead: LetterheadPlan;
  bands: readonly unknown[];
}

/** Stands at the head of a page, so that whoever lists proofs need not read their pictures. */
export function signingData(
  { order = '', expires, letterhead }: Answered,
  { proof, digest }: Signing,
  { messages }: Locale,
): string {
  const { signing, decision } = messages.proof;
  const data: SigningData = {
    proof,
    digest,
    order,
    ...(expires ? { expires } : {}),
    ...(letterhead.email ? { to: letterhead.email } : {}),
    nature: signing.nature,
    decision,
    texts: signing.texts,
  };
  return `<script type="application/json" id="${SIGNING_DATA}">${jsonForScript(data)}</script>`;
}

/** What a page hands its script, read back from the page's beginning; undefined where it hands it nothing. */
export function readSigning(head: string): SigningData | undefined {
  const [, json] =
    new RegExp(`<script type="application/json" id="${SIGNING_DATA}">([^<]*)</script>`).exec(head) ?? [];
  return json === undefined ? undefined : (JSON.parse(json) as SigningData);
}

/** Hidden until the script runs: a button that does nothing must not stand there. */
export function signingSection({ bands, letterhead, expires }: Answered, { messages, date }: Locale): string {
  const say = messages.proof;
  const { signing } = say;
  const field = (id: string, label: string, control: string) =>
    `<p class="field"><label for="${id}">${escapeHtml(label)}</label>${control}</p>`;
  const name = (n: number, label: string, required: boolean) =>
    field(
      `name-${n}`,
      label,
      `<input id="name-${n}" autocomplete="off" maxlength="${MOST_TYPED.name}"${required ? ' required' : ''}>`,
    );
  const names =
    bands.length > 1
      ? signing.names.map((label, i) => name(i + 1, label, i === 0))
      : [name(1, signing.name, true)];
  return `<section class="answer" hidden><h2>${escapeHtml(signing.heading)}</h2>
${field('changes', say.changes, `<textarea id="changes" rows="3" maxlength="${MOST_TYPED.changes}"></textarea>`)}
<div class="who">${names.join('')}${field('date', say.date, '<input id="date" type="date" required>')}</div>
<p class="under">${escapeHtml(signing.nature)}</p>
<p class="late" hidden>${expires ? escapeHtml(signing.late(date(expires))) : ''}</p>
<p class="buttons"><button type="button" id="save">${escapeHtml(signing.save)}</button>${letterhead.email ? `<button type="button" id="mail">${escapeHtml(signing.mail)}</button>` : ''}</p>
<p class="said" role="alert"></p><p class="said" role="status"></p></section>`;
}

/** On screens; `signing` is set on the page by its script. */
export const SIGNING_STYLE = `.answer { display: none; }
@media screen {
  .signing .answer { display: block; margin-top: 28px; } .signing .sign { display: none; }
  .who { display: grid; grid-template-columns: repeat(auto-fit, minmax(190px, 1fr)); gap: 0 20px; }
  .field { margin: 10px 0; } .field label { display: block; color: var(--soft); }
  .answer input, .answer textarea { width: 100%; padding: 8px 10px; border: 1px solid var(--soft); border-radius: 3px; background: #fff; color: var(--ink); font: 15px sans-serif; }
  .answer [aria-invalid="true"] { border-color: #a33; box-shadow: 0 0 0 1px #a33; }
  .answer button { min-height: 44px; margin: 8px 12px 0 0; padding: 8px 18px; border: 1px solid var(--ink); border-radius: 3px; background: var(--ink); color: #fff; font: inherit; font-weight: 600; cursor: pointer; } .answer button + button { background: #fff; color: var(--ink); }
  .answer :focus-visible { outline: 3px solid var(--accent); outline-offset: 2px; }
  .late, .said[role="alert"] { color: #a33; font-weight: 600; } .said:empty { display: none; } .said { white-space: pre-line; }
}
`;
