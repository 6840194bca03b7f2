/** The orders of the config below the bands: a table, a form for the one that is written, and the run that makes a proof. */
import { button, make } from '../../page/reader/element.ts';
import type { Problem } from '../../problem.ts';
import type { AskedEdit, EditAnswer, LookOrders, LookState, ProofRun } from '../contract.ts';
import { nameOf, problemList } from './mistakes.ts';
import { type Cells, orderForm } from './order-form.ts';
import { word } from './page-words.ts';
import { type PageShelf, Refused } from './shelf.ts';
import { steadily } from './steady.ts';

type Row = LookOrders['rows'][number];

export interface OrderDeskOptions {
  shelf: PageShelf;
  /** what the page shows: a new order is for that */
  shown(): string | undefined;
  /** has an edit written */
  edit(change: AskedEdit, table: LookOrders): Promise<EditAnswer | undefined>;
}

export class OrderDesk {
  readonly element = make('section', { class: 'orders', 'aria-labelledby': 'orders-heading' });
  private readonly options: OrderDeskOptions;
  private readonly list = make('div', { class: 'list' });
  private readonly fault = make('div', { class: 'fault', role: 'alert' });
  private readonly place = make('div');
  private readonly about = make('p', { class: 'about' });
  private readonly begin = button(word('newOrder'), () => this.open(undefined));
  private readonly said = make('p', { role: 'status' });
  private readonly result = make('div', { class: 'result' });
  private readonly halt = button(word('stopProof'), () => this.options.shelf.stopProof(), { class: 'quiet' });
  private readonly runs = make('div', { class: 'run' }, this.said, this.halt, this.result);
  private table: LookOrders | undefined;
  private readOnly = true;
  /** counts what was asked for, so that a table which comes too late is left */
  private asked = 0;
  private running = false;

  constructor(options: OrderDeskOptions) {
    this.options = options;
    this.element.append(
      make('h2', { id: 'orders-heading' }, word('orders')),
      this.about,
      this.list,
      this.begin,
      this.fault,
      this.place,
      this.runs,
    );
    this.element.hidden = true;
    this.halt.hidden = true;
  }

  /** The files have changed. A form that is open keeps what is typed. */
  async update({ readOnly }: LookState): Promise<void> {
    this.readOnly = readOnly;
    // what is wrong with the config is told at the top
    const asked = ++this.asked;
    const table = await this.options.shelf.orders().catch(() => undefined);
    if (!table || asked !== this.asked) return;
    this.table = table;
    this.element.hidden = false;
    this.begin.hidden = readOnly || table.fault !== undefined;
    this.about.textContent = word('ordersAbout', { file: nameOf(table.file) });
    this.showRows(table);
  }

  /** How the run of a proof stands. */
  tell(run: ProofRun): void {
    this.running = run.state === 'running';
    this.halt.hidden = !this.running;
    this.said.textContent = word(saidOf(run), { order: run.order, done: run.done, of: run.of });
    this.result.replaceChildren(
      ...run.files.map((file) => make('code', {}, file)),
      ...(run.why ? [make('pre', { tabindex: 0 }, run.why)] : []),
    );
    for (const start of this.list.querySelectorAll<HTMLButtonElement>('button.proof'))
      start.disabled = this.running;
  }

  private showRows({ rows, fault, file }: LookOrders): void {
    if (fault)
      this.list.replaceChildren(make('p', {}, word('ordersFault', { file: nameOf(file), ...fault })));
    else if (rows.length === 0) this.list.replaceChildren(make('p', {}, word('noOrders')));
    else this.list.replaceChildren(make('ul', {}, ...rows.map((row) => this.row(row))));
  }

  private row(row: Row): HTMLElement {
    const { cells, commands } = row;
    const order = cells.order ?? '';
    const start = (draft: boolean) => {
      const key = draft ? 'draftProof' : 'fullProof';
      const label = `${word(key)} ${word('forOrder', { order })}`;
      const made = button(word(key), () => this.startProof(row, draft), {
        class: 'proof',
        'aria-label': label,
      });
      made.disabled = this.running;
      return made;
    };
    const change = word('changeThat', { order });
    const hands = this.readOnly
      ? []
      : [button(word('changeOrder'), () => this.open(row), { 'aria-label': change })];
    const proof = this.readOnly || !commands ? [] : [start(true), start(false)];
    return make(
      'li',
      {},
      make('h3', {}, word('anOrder', { order })),
      make('p', {}, [cells.names, bandsSaid(cells)].filter(Boolean).join(', ')),
      make('p', { class: 'hands' }, ...hands, ...proof),
      commands
        ? make('p', { class: 'typed' }, `${word('typed')} `, make('code', {}, commands.full))
        : make('p', { class: 'typed' }, word('untilSound')),
    );
  }

  private open(row: Row | undefined): void {
    const { table } = this;
    if (!table) return;
    const shut = () => {
      this.place.replaceChildren();
      this.fault.replaceChildren();
      this.begin.focus();
    };
    const ask = async (change: AskedEdit) => {
      if (await this.write(change)) shut();
    };
    const form = orderForm({
      table,
      cells: row?.cells ?? { sku: this.options.shown() ?? '' },
      isNew: !row,
      onWrite: (cells: Cells) => ask({ kind: 'order', ...(row ? { line: row.line } : {}), cells }),
      onLeave: shut,
      onRemove: () => row && ask({ kind: 'no-order', line: row.line }),
    });
    this.fault.replaceChildren();
    this.place.replaceChildren(form);
    form.querySelector<HTMLElement>('input')?.focus();
  }

  private async write(change: AskedEdit): Promise<boolean> {
    const { table } = this;
    if (!table) return false;
    try {
      const answer = await this.options.edit(change, table);
      if (answer && !answer.done) this.refuse(answer.problems);
      return answer?.done === true;
    } catch (error) {
      this.refuse(error instanceof Refused ? error.problems : []);
      return false;
    }
  }

  private refuse(problems: readonly Problem[]): void {
    steadily(this.fault, () => this.fault.replaceChildren(problemList(word('notWritten'), problems)));
  }

  private async startProof({ line }: Row, draft: boolean): Promise<void> {
    const { revision = '' } = this.table ?? {};
    const begun = await this.options.shelf.makeProof({ line, draft, revision }).catch(() => false);
    if (!begun) this.said.textContent = word('proofBusy');
  }
}

const bandsSaid = (cells: Cells) =>
  Object.entries(cells)
    .filter(([column, value]) => value && !['order', 'names', 'notes', 'language'].includes(column))
    .map(([, value]) => value)
    .join(', ');

function saidOf({ state, step, draft }: ProofRun) {
  if (state === 'done') return draft ? 'proofDraftDone' : 'proofDone';
  if (state === 'failed') return 'proofFailed';
  if (state === 'stopped') return 'proofStopped';
  return (
    { begin: 'proofBegins', solids: 'proofSolids', pictures: 'proofPictures', papers: 'proofPapers' } as const
  )[step];
}
