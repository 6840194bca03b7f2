/** One band or pair: what is chosen of it, its growing picture, and all that is told beside. */
import { button, make } from '../../page/reader/element.ts';
import type { AskedEdit, Drawing, LookState, LookView, Origin, ViewChoice } from '../contract.ts';
import type { Aim, PictureProgress } from './aim.ts';
import { ChoiceForm } from './choice-form.ts';
import type { LookCrew } from './crew.ts';
import { problemList } from './mistakes.ts';
import { percent, WORDS, word } from './page-words.ts';
import { Picture } from './picture.ts';
import { PictureMarks } from './picture-marks.ts';
import { type PageShelf, Refused } from './shelf.ts';
import { startTracer } from './start.ts';
import { steadily } from './steady.ts';
import { Told } from './told.ts';
import { Turner } from './turner.ts';

/** Where a page only looks. */
const NARROW = matchMedia('(max-width: 1023px)');

export interface PaneOptions {
  shelf: PageShelf;
  choice?: ViewChoice;
  onChoice(): void;
  /** an edit was written there */
  onWritten(origin: Origin): void;
  /** absent for the only pane */
  onClose?: () => void;
}

export class Pane {
  static async open(options: PaneOptions): Promise<Pane> {
    return new Pane(options, await startTracer());
  }

  readonly element: HTMLElement;
  private readonly shelf: PageShelf;
  private readonly form: ChoiceForm;
  private readonly canvas = make('canvas', {
    width: 480,
    height: 480,
    role: 'img',
    'aria-label': word('waiting'),
  });
  private readonly progress = make('p', { class: 'progress' }, word('waiting'));
  private readonly draft = make('p', { class: 'draft' }, word('draft'));
  private readonly fault = make('div', { class: 'fault', role: 'alert' });
  private readonly made = make('p', { class: 'made' });
  private readonly told = new Told((sku, change) => this.edit(sku, change));
  private readonly onWritten: PaneOptions['onWritten'];
  private state: LookState | undefined;
  private readonly marks = new PictureMarks();
  private readonly marked = make('input', { type: 'checkbox', checked: '' });
  /** of the bands that are shown */
  private checks: Drawing['checks'][] = [];
  private readonly turner: Turner;
  private readonly picture: Picture;
  private shown: Pick<Aim, 'view' | 'solids' | 'draft'> | undefined;
  /** counts what was asked for, so that answers which come too late are left */
  private asked = 0;

  private constructor({ shelf, choice, onChoice, onWritten, onClose }: PaneOptions, crew: LookCrew) {
    this.shelf = shelf;
    this.onWritten = onWritten;
    this.form = new ChoiceForm(choice, () => {
      this.turner.reset();
      onChoice();
      this.refresh();
    });
    this.picture = new Picture(this.canvas, crew, {
      progress: (p) => this.tell(p),
      failed: (why) => this.say(word('failed', { why })),
    });
    this.turner = new Turner(this.canvas, (coarse) => this.aim(coarse));
    const close = onClose ? [button(word('takeAway'), onClose, { class: 'quiet' })] : [];
    const figure = make(
      'figure',
      {},
      make('div', { class: 'print' }, this.canvas, this.marks.element),
      make(
        'figcaption',
        {},
        this.progress,
        this.draft,
        this.made,
        this.turner.element,
        make('div', { class: 'ends' }, this.markChoice(), ...close),
      ),
    );
    // what a test or the bench asks of the picture
    Object.assign(figure, { picture: this.picture });
    this.element = make(
      'article',
      { class: 'pane' },
      this.form.element,
      this.fault,
      make('div', { class: 'laid' }, figure, this.told.beside, this.told.below),
    );
    this.draft.hidden = true;
  }

  get choice(): ViewChoice | undefined {
    return this.form.choice;
  }

  /** The files have changed, or what can be chosen. */
  update(state: LookState): void {
    this.state = state;
    this.form.offer(state);
    if (state.problems.length === 0) this.refresh();
    else this.rest(false);
  }

  /** Leaves the processors to whoever reads what is being saved, until it is known what comes of it. */
  rest(stirred: boolean): void {
    if (stirred) this.picture.hold();
    else this.picture.resume();
  }

  /** Asks for an edit of a band, or takes the last one back; every file must be as this page has seen it. */
  async edit(sku: string | undefined, change: AskedEdit): Promise<void> {
    const { state, choice } = this;
    const band = sku ?? state?.pairs.find((p) => p.sku === choice?.sku)?.bands[0] ?? choice?.sku;
    if (!state || !band || this.readOnly) return;
    try {
      const answer = await this.shelf.edit({ sku: band, files: state.files, change });
      if (answer.done && answer.origin) this.onWritten(answer.origin);
      this.say(...(answer.done ? [] : [problemList(word('notWritten'), answer.problems)]));
    } catch (error) {
      this.fail(error, word('notWritten'));
    }
  }

  private get readOnly(): boolean {
    return this.state?.readOnly !== false || NARROW.matches;
  }

  close(): void {
    this.asked++;
    this.picture.close();
    this.element.remove();
  }

  private async refresh(): Promise<void> {
    const asked = ++this.asked;
    const late = () => asked !== this.asked;
    const { choice } = this.form;
    if (!choice) return this.rest(false);
    try {
      const view = await this.shelf.view(choice);
      if (!view || late()) return;
      const sky = view.sky ? await this.shelf.sky(view.sky) : undefined;
      const first = await this.solids(view, true);
      if (!first || late()) return;
      this.show(view, first, sky);
      if (!first.every(({ whole }) => whole)) {
        const whole = await this.solids(view, false);
        if (!whole || late()) return;
        this.show(view, whole, sky);
      }
      // whoever works out facts and draws them takes the picture's time
      await this.picture.seen;
      if (late()) return;
      const bands = await this.shelf.band(choice.sku);
      if (bands && !late()) {
        steadily(this.fault, () => {
          this.told.show(bands, this.readOnly);
          this.fault.replaceChildren();
        });
        this.checks = bands.map(({ drawing }) => drawing.checks);
        this.mark();
      } else this.say();
    } catch (error) {
      if (late()) return;
      this.fail(error, word('cannotBuild'));
    } finally {
      if (!late()) this.rest(false);
    }
  }

  private fail(error: unknown, heading: string): void {
    const why = error instanceof Error ? error.message : String(error);
    const told = error instanceof Refused ? problemList(heading, error.problems) : word('failed', { why });
    this.say(told);
  }

  private say(...told: (Node | string)[]): void {
    steadily(this.fault, () => this.fault.replaceChildren(...told));
  }

  private async solids(view: LookView, draft: boolean) {
    const made = await Promise.all(view.shapes.map((key) => this.shelf.solids(key, draft)));
    return made.every((one) => one !== undefined) ? made : undefined;
  }

  private show(
    view: LookView,
    solids: { key: string; blob: SharedArrayBuffer; whole: boolean }[],
    sky?: Awaited<ReturnType<PageShelf['sky']>>,
  ): void {
    const before = this.shown;
    const draft = !solids.every(({ whole }) => whole);
    this.shown = { view, solids, draft };
    this.sky = sky;
    this.draft.hidden = !draft;
    this.made.textContent = word(view.asMade ? 'asMade' : 'notMade');
    this.canvas.setAttribute(
      'aria-label',
      word('picture', { sku: view.choice.sku, shot: WORDS.views[view.shot.view] }),
    );
    // colourways of one take are traced together: another one is there already
    if (before && sameTake(before, this.shown)) this.picture.wear(view);
    else this.aim(false);
  }

  private sky: Awaited<ReturnType<PageShelf['sky']>> | undefined;

  private aim(coarse: boolean): void {
    if (!this.shown) return;
    this.picture.aim({ ...this.shown, sky: this.sky, turn: this.turner.turn, coarse });
  }

  private markChoice(): HTMLElement {
    this.marked.addEventListener('change', () => this.mark());
    return make('label', { class: 'marking' }, this.marked, make('span', {}, word('marks')));
  }

  /** Lays the checks over the picture as it stands. */
  private mark(): void {
    const { view } = this.shown ?? {};
    if (!view) return;
    const aspect = view.shot.widthPx / view.shot.heightPx;
    const checks = this.marked.checked ? this.checks : [];
    this.marks.show(checks, this.picture.stage, this.turner.turn, aspect);
  }

  private tell(p: PictureProgress): void {
    const { stage, passes } = p;
    const begun = stage === 'coarse' || stage === 'sketch' || stage === 'first';
    if (begun) this.mark();
    // a handful of bright points can make it absurdly large at first
    const error = p.error < 1 ? percent(p.error) : `> ${percent(1)}`;
    const target = percent(p.target);
    this.progress.textContent = begun
      ? word(stage)
      : word(stage === 'done' ? 'done' : 'growing', { error, passes, target });
    const draft = !this.draft.hidden;
    this.canvas.dispatchEvent(new CustomEvent('picture', { bubbles: true, detail: { ...p, draft } }));
  }
}

type Shown = { view: LookView; solids: { key: string }[] };

function sameTake(a: Shown, b: Shown): boolean {
  const what = ({ view: { shot, looks, quality }, solids }: Shown) =>
    JSON.stringify([shot, looks, quality, solids.map(({ key }) => key)]);
  return what(a) === what(b);
}
