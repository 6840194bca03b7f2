/**
 * One picture that grows. What is aimed at last is traced next: a turn coarsely and at once, everything else first
 * with a sample for every second pixel, then for all, and then as `make` traces it, pass by pass to the shot's own noise
 * target, and filtered as it does.
 */
import type { FilmState } from '../../tracer/film-state.ts';
import { traceTake } from '../../tracer/film-take.ts';
import type { CardShare } from '../../tracer/gpu/card-share.ts';
import type { Pass, PassShare } from '../../tracer/pass-share.ts';
import { filmError, MIN_SAMPLES } from '../../tracer/stop-rule.ts';
import type { LookView } from '../contract.ts';
import type { Stage } from '../place-in-picture.ts';
import type { Aim, PictureProgress } from './aim.ts';
import { FilmCleaner } from './clean-picture.ts';
import { CoarseSize, type Size, within } from './coarse-size.ts';
import { ComposedScene } from './composed-scene.ts';
import type { LookCrew } from './crew.ts';
import { Painter } from './paint.ts';
import { sampleInHalves, sampleOnce } from './sample-once.ts';
import { type ShownFilm, type StoredFilm, storedFilm } from './shown-film.ts';

/** Pixels of the first picture, and of the film that is traced before one of a much larger frame. */
const SKETCH = 480 * 480;
/** Frames up to this many times a sketch are traced at once. */
const LITTLE_MORE = 1.6;
/** Noise at which a picture can be believed, and a large frame takes over from its sketch. */
const BELIEVED = 0.1;

export class Picture {
  private readonly painter: Painter;
  private readonly crew: LookCrew;
  private readonly onProgress: (progress: PictureProgress) => void;
  private readonly onFailed: (why: string) => void;
  private wanted: Aim | undefined;
  /** what is traced now, or was last */
  private current: Aim | undefined;
  private running = false;
  /** another colourway is filtered, and no film traced */
  private dressing = false;
  /** of what may be stopped */
  private share: PassShare | undefined;
  private shown: ShownFilm | undefined;
  private latest: PictureProgress | undefined;
  /** colourway that is shown */
  private plane = 0;
  private readonly scene: ComposedScene;
  private readonly coarse = new CoarseSize();
  private closed = false;
  /** told when a picture of the aim is there */
  private waiting: (() => void)[] = [];

  constructor(
    canvas: HTMLCanvasElement,
    crew: LookCrew,
    on: { progress: Picture['onProgress']; failed: Picture['onFailed'] },
  ) {
    this.painter = new Painter(canvas);
    this.crew = crew;
    this.scene = new ComposedScene(crew);
    this.onProgress = on.progress;
    this.onFailed = on.failed;
  }

  /** Overtakes whatever is being traced. */
  aim(aim: Aim): void {
    this.wanted = aim;
    this.plane = aim.view.colourway;
    // what is shown till then is of another take
    if (!aim.coarse) this.latest = undefined;
    this.share?.stop();
    this.crew.resume();
    if (!this.running) this.start(() => this.run());
  }

  /** Where the bands of the composed scene stand, unturned. */
  get stage(): Stage | undefined {
    return this.scene.stage;
  }

  /** Rests till there is something else to aim at, or `resume` says that all stays as it is. */
  hold(): void {
    this.crew.hold();
  }

  resume(): void {
    this.crew.resume();
  }

  /** Shows another colourway of the films that are there or under way: `view` is of the take that was aimed at last. */
  wear(view: LookView): void {
    this.plane = view.colourway;
    this.crew.resume();
    if (this.wanted) {
      this.wanted = { ...this.wanted, view };
      return;
    }
    // what is traced tells from now on of the version that asks for it
    if (this.current) this.current = { ...this.current, view };
    const { shown, latest } = this;
    if (!shown || !latest || this.dressing) return;
    const { film, cleaner } = shown;
    // while the workers trace nobody filters: the next picture will be
    if (this.running || !cleaner) {
      this.show({ ...shown, clean: undefined });
      this.tell(latest);
    } else this.start(() => this.dress({ film, cleaner }, latest));
  }

  /** Done when a picture of what is aimed at is shown, or can't be. */
  get seen(): Promise<void> {
    return new Promise((resolve) => {
      if (this.latest || this.closed) resolve();
      else this.waiting.push(resolve);
    });
  }

  /** The film that is shown, as `make` would store it, and what its pictures show of it. */
  film(): StoredFilm | undefined {
    return this.shown && storedFilm(this.shown, this.plane);
  }

  close(): void {
    this.closed = true;
    this.wanted = undefined;
    this.share?.stop();
    this.crew.dismiss();
    this.release();
  }

  private release(): void {
    for (const resolve of this.waiting.splice(0)) resolve();
  }

  private get overtaken(): boolean {
    return this.wanted !== undefined || this.closed;
  }

  /** Workers do one thing at a time; what was aimed at meanwhile comes next. */
  private start(work: () => Promise<void>): void {
    this.running = true;
    work()
      .catch((error) => {
        this.onFailed(error instanceof Error ? error.message : String(error));
        this.release();
      })
      .finally(() => {
        this.running = false;
        if (this.overtaken && !this.closed) this.start(() => this.run());
      });
  }

  private async run(): Promise<void> {
    while (this.wanted && !this.closed) {
      const aim = this.wanted;
      this.current = aim;
      this.wanted = undefined;
      if (aim.coarse && this.scene.there) await this.turn(aim);
      else await this.trace(aim);
    }
  }

  private async turn(aim: Aim): Promise<void> {
    const { shot, quality } = aim.view;
    const begun = performance.now();
    const { pixels, samples } = this.coarse;
    const size = within(shot.widthPx, shot.heightPx, pixels);
    this.scene.overlay();
    // it is done so soon that a further turn need not stop it: a hand that moves on would never see a picture
    const want = { seed: quality.seed, samples, colourway: this.plane };
    const codes = await this.crew.turned(aim.turn, size, want);
    if (codes) {
      // of a band in this turn there is no film
      this.shown = undefined;
      this.painter.codes(size, codes);
    } else {
      await this.crew.turn(aim.turn, size.width, size.height);
      const fresh = await this.fresh(size);
      await sampleOnce(this.crew, fresh, quality.seed);
      this.show({ film: fresh.film });
    }
    if (this.closed) return;
    this.coarse.took(performance.now() - begun, codes !== undefined);
    this.tell({ stage: 'coarse', error: Number.POSITIVE_INFINITY, passes: 1 });
  }

  private async trace(aim: Aim): Promise<void> {
    const { view } = aim;
    const { widthPx, heightPx } = view.shot;
    const sketch = within(widthPx, heightPx, SKETCH);
    const large = widthPx * heightPx > LITTLE_MORE * SKETCH;
    const first = large ? sketch : { width: widthPx, height: heightPx };
    await this.scene.compose(aim, first);
    if (this.overtaken) return;
    await this.sketch(first, view.quality.seed);
    if (this.overtaken) return;
    await this.crew.settle();
    if (this.overtaken) return;
    if (large) {
      await this.grow(aim, first, Math.max(BELIEVED, view.quality.noise), false);
      if (this.overtaken) return;
      await this.scene.compose(aim, { width: widthPx, height: heightPx });
      if (this.overtaken) return;
      await this.crew.settle();
      if (this.overtaken) return;
    }
    await this.grow(aim, { width: widthPx, height: heightPx }, view.quality.noise, true);
  }

  /** What is aimed at meanwhile stops it. */
  private watch(share: PassShare): void {
    this.share = share;
    if (this.overtaken) share.stop();
  }

  /** One sample of every pixel, or of every second one at first: noisy, whole and soon there. */
  private async sketch(size: Size, seed: number): Promise<void> {
    const fresh = await this.fresh(size);
    const { film, share } = fresh;
    this.watch(share);
    const show = (stage: 'sketch' | 'first') => {
      this.show({ film, half: stage === 'sketch' });
      this.tell({ stage, error: Number.POSITIVE_INFINITY, passes: 1 });
    };
    await sampleInHalves(this.crew, fresh, seed, () => show('sketch'));
    if (!share.stopped) show('first');
  }

  /** A fresh film of the scene; of those before it the one that is shown is kept. */
  private fresh(size: Size, filtered = false): Promise<{ film: FilmState; share: CardShare }> {
    return this.crew.film({ ...size, colourways: this.scene.planes }, this.shown?.film, filtered);
  }

  /** Pass by pass to a noise target, by the tracer's own rule. @param last no larger film follows */
  private async grow(aim: Aim, size: Size, noiseTarget: number, last: boolean): Promise<void> {
    const { quality } = aim.view;
    const { filter, seed, passCap } = quality;
    // a draft soon makes way for the true solids
    const filtered = filter && !aim.draft;
    const { film, share } = await this.fresh(size, filtered);
    this.watch(share);
    const sketch = this.shown?.film;
    const hands = aim.draft ? Math.max(1, this.crew.count - 1) : this.crew.count;
    const outgrows = () => !sketch || sketch.width >= film.width || film.paths[0] >= sketch.paths[0];
    const colours = aim.view.looks.colours.length;
    const cleaner = filtered ? new FilmCleaner(this.crew, film, colours, seed) : undefined;
    const showing = async (stage: 'passes' | 'done') => {
      // a large frame takes over when it has seen as many paths as its sketch
      if (film.paths[0] === 0 || share.stopped || !outgrows()) return;
      if (stage === 'passes' && cleaner && !cleaner.due) return;
      const clean =
        cleaner && (await cleaner.worn(cleaner.clean(this.plane, stage === 'done'), () => this.plane));
      if (share.stopped) return;
      this.show({ film, cleaner, clean });
      const passes = film.samples.reduce((most, n) => Math.max(most, n), 0);
      this.tell({ stage, error: filmError(film).rms, passes });
    };
    const work = async (pass: Pass) => {
      // nobody is at work on the film now: it is as the last pass left it
      await showing('passes');
      // tiles are judged by what is known of their pixels
      if (cleaner && pass.to >= Math.min(MIN_SAMPLES, passCap)) await this.crew.features(seed, true);
      if (!share.stopped) await this.crew.pass(pass, hands);
    };
    const options = { seed, passCap, noiseTarget, every: 1000, onProgress: () => {}, filtered };
    await traceTake(film, share, { workers: hands, work }, options);
    await showing(last ? 'done' : 'passes');
  }

  /** Filters another colourway of a film that is finished. */
  private async dress(
    shown: { film: FilmState; cleaner: FilmCleaner },
    latest: PictureProgress,
  ): Promise<void> {
    this.dressing = true;
    try {
      const clean = await shown.cleaner.worn(shown.cleaner.again(this.plane), () => this.plane);
      if (this.overtaken) return;
      this.show({ ...shown, clean });
      this.tell(latest);
    } finally {
      this.dressing = false;
    }
  }

  /** Tells how the current aim stands. */
  private tell(told: Omit<PictureProgress, 'version' | 'target'>): void {
    if (!this.current) return;
    const { version, quality } = this.current.view;
    this.latest = { ...told, version, target: quality.noise };
    this.onProgress(this.latest);
    this.release();
  }

  private show(shown: ShownFilm): void {
    this.shown = shown;
    this.painter.film(shown, this.plane);
  }
}
