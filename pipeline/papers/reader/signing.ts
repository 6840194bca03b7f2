/** In the couple's browser: what was ticked and typed becomes a sealed reply, to be saved or put into an e-mail's draft. */
import { REPLY_FORMAT, REPLY_VERSION, type Reply, type SealedReply, sealed, toMailText } from '../reply.ts';
import { SIGNING_DATA, type SigningData } from '../signing-data.ts';

const find = <E extends HTMLElement>(selector: string): E => {
  const found = document.querySelector<E>(selector);
  if (!found) throw new Error(`the page lacks ${selector}`);
  return found;
};

const data = JSON.parse(find(`#${SIGNING_DATA}`).textContent ?? '') as SigningData;
const { texts } = data;
const decisions = [...document.querySelectorAll<HTMLInputElement>('[name="decision"]')];
const names = [...document.querySelectorAll<HTMLInputElement>('.answer input:not([type="date"])')];
const date = find<HTMLInputElement>('#date');
const changes = find<HTMLTextAreaElement>('#changes');
const alert = find('[role="alert"]');
const status = find('[role="status"]');

/** What must be there and is not, with its place. */
function lacking(): [HTMLElement, string][] {
  const lacks: [HTMLElement, string][] = [];
  const [, wants] = decisions;
  if (!decisions.some((box) => box.checked)) lacks.push([decisions[0], texts.lacks.decision]);
  if (wants.checked && changes.value.trim() === '') lacks.push([changes, texts.lacks.changes]);
  if (names[0].value.trim() === '') lacks.push([names[0], texts.lacks.name]);
  if (date.value === '') lacks.push([date, texts.lacks.date]);
  return lacks;
}

/** Undefined where something is missing, which is then told and gone to. */
function signed(): SealedReply | undefined {
  const lacks = lacking();
  status.textContent = '';
  for (const field of [...decisions, changes, ...names, date])
    field.setAttribute('aria-invalid', String(lacks.some(([where]) => where === field)));
  alert.textContent = lacks.map(([, words]) => words).join('\n');
  lacks[0]?.[0].focus();
  return lacks.length > 0 ? undefined : sealed(answer());
}

function answer(): Reply {
  const boxes = [...document.querySelectorAll<HTMLInputElement>('.ticks [type="checkbox"]')];
  const wished = changes.value.trim();
  return {
    format: REPLY_FORMAT,
    version: REPLY_VERSION,
    proof: data.proof,
    digest: data.digest,
    order: data.order,
    decision: decisions[0].checked ? 'approved' : 'changes',
    ticked: boxes.filter((box) => box.checked).map((box) => box.closest('label')?.textContent ?? ''),
    ...(wished ? { changes: wished } : {}),
    names: names.map((name) => name.value.trim()).filter(Boolean),
    date: date.value,
    made: new Date().toISOString(),
    nature: data.nature,
  };
}

const fileName = `reply-${data.proof}.json`;
const filled = (text: string) => text.replace('{order}', data.order).replace('{file}', fileName);

function follow(to: { href: string; download?: string }): void {
  const link = Object.assign(document.createElement('a'), to, { hidden: true });
  document.body.append(link);
  link.click();
  link.remove();
}

function save(reply: SealedReply): void {
  const file = new Blob([`${JSON.stringify(reply, undefined, 2)}\n`], { type: 'application/json' });
  const href = URL.createObjectURL(file);
  follow({ href, download: fileName });
  setTimeout(() => URL.revokeObjectURL(href), 60_000);
  status.textContent = filled(texts.saved);
}

/** Mail programs cut addresses that are longer. */
const LONGEST_ADDRESS = 1900;

/** The reply itself in the mail, or the request to attach it where it would not go through whole. */
function draft(reply: SealedReply): void {
  const decided = data.decision[reply.decision === 'approved' ? 0 : 1];
  const words = [texts.mail.hello, decided, `${reply.names.join(', ')}, ${reply.date}`];
  const address = (more: readonly string[]) =>
    `mailto:${data.to}?subject=${encodeURIComponent(filled(texts.mail.subject))}&body=${encodeURIComponent([...words, '', ...more].map(filled).join('\n').replaceAll('\n', '\r\n'))}`;
  const whole = address([texts.mail.keep, toMailText(reply)]);
  const short = whole.length > LONGEST_ADDRESS;
  if (short) save(reply);
  follow({ href: short ? address([texts.mail.attach]) : whole });
}

const act = (button: string, what: (reply: SealedReply) => void) =>
  document.querySelector(button)?.addEventListener('click', () => {
    const reply = signed();
    if (reply) what(reply);
  });

function today(): string {
  const now = new Date();
  return new Date(now.getTime() - 60_000 * now.getTimezoneOffset()).toISOString().slice(0, 10);
}

date.value = today();
find('.late').hidden = data.expires === undefined || today() <= data.expires;
act('#save', save);
act('#mail', draft);
find('.answer').hidden = false;
document.documentElement.classList.add('signing');
