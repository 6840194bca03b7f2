/** The page of the live view: hears of every saved text and keeps one picture or two. */
import { button } from '../../page/reader/element.ts';
import type { EditRequest, LookState, Origin, ViewChoice } from '../contract.ts';
import { nameOf, problemList } from './mistakes.ts';
import { OrderDesk } from './order-desk.ts';
import { WORDS, word } from './page-words.ts';
import { Pane } from './pane.ts';
import { PageShelf } from './shelf.ts';
import { steadily } from './steady.ts';

const find = (selector: string) => document.querySelector<HTMLElement>(selector)!;
const paper = find('#paper');
const standing = find('.standing');
const mistakes = find('.mistakes');
const panes: Pane[] = [];
const shelf = new PageShelf();
const another = button(word('another'), () => add(), { class: 'another' });
const back = button(word('undo'), () => panes[0]?.edit(undefined, { kind: 'undo' }));
const again = button(word('redo'), () => panes[0]?.edit(undefined, { kind: 'redo' }));
find('.tools').append(back, again, another);

const desk = new OrderDesk({
  shelf,
  shown: () => panes[0]?.choice?.sku,
  edit: async (change, { file, revision }) => {
    const [band] = state?.bands ?? [];
    if (!state || !band) return undefined;
    const files: EditRequest['files'] = [...state.files, ...(revision ? [{ file, revision }] : [])];
    const answer = await shelf.edit({ sku: band.sku, files, change });
    if (answer.done && answer.origin) written(answer.origin);
    return answer;
  },
});
paper.after(desk.element);

let state: LookState | undefined;

function written({ file, line }: Origin): void {
  find('.written').textContent = word('written', { file: nameOf(file), line });
}

/** The choices stand in the address, so that a page that is loaded again shows the same. */
function readChoices(): ViewChoice[] {
  try {
    const said = JSON.parse(decodeURIComponent(location.hash.slice(1)));
    return Array.isArray(said) ? said.slice(0, 2) : [];
  } catch {
    return [];
  }
}

function writeChoices(): void {
  const choices = panes.flatMap(({ choice }) => (choice ? [choice] : []));
  history.replaceState(null, '', `#${encodeURIComponent(JSON.stringify(choices))}`);
}

async function add(choice?: ViewChoice): Promise<void> {
  another.disabled = true;
  const pane: Pane = await Pane.open({
    shelf,
    choice: choice ?? panes[0]?.choice,
    onChoice: writeChoices,
    onWritten: written,
    ...(panes.length > 0 ? { onClose: () => take(pane) } : {}),
  });
  panes.push(pane);
  paper.append(pane.element);
  arrange();
  if (state) pane.update(state);
  writeChoices();
}

function take(pane: Pane): void {
  panes.splice(panes.indexOf(pane), 1);
  pane.close();
  arrange();
  writeChoices();
  another.focus();
}

function arrange(): void {
  paper.classList.toggle('two', panes.length > 1);
  another.disabled = panes.length > 1;
}

function tell(now: LookState): void {
  const before = state;
  state = now;
  // words come with the page
  if (before && before.tag !== now.tag) location.reload();
  if (before && WORDS.tag !== now.tag) return;
  // pictures first: what is asked for is made meanwhile
  for (const pane of panes) pane.update(now);
  find('h1').textContent = now.title || word('live');
  document.title = `${now.title || word('live')} – ${word('live')}`;
  const n = now.problems.length;
  const heading = word(now.bands.length > 0 ? 'problems' : 'noBand');
  const told = n > 0 ? [problemList(heading, now.problems)] : [];
  steadily(mistakes, () => {
    standing.textContent = n > 0 ? word('stale', { n }) : word('saved', { version: now.version });
    mistakes.replaceChildren(...told);
  });
  for (const edits of [back, again]) edits.hidden = now.readOnly;
  desk.update(now);
}

async function begin(): Promise<void> {
  const [first, second] = readChoices();
  await add(first);
  if (second) await add(second);
  const events = new EventSource('events');
  events.onmessage = ({ data }) => tell(JSON.parse(data));
  events.addEventListener('stir', ({ data }) => {
    for (const pane of panes) pane.rest(JSON.parse(data));
  });
  events.addEventListener('proof', ({ data }) => desk.tell(JSON.parse(data)));
  events.onerror = () => {
    for (const pane of panes) pane.rest(false);
    standing.textContent = word('gone');
  };
}

begin().catch((error) => {
  standing.textContent = word('failed', { why: error?.message ?? String(error) });
});
