/**
 * One picture that grows. What is aimed at last is traced next: a turn coarsely and at once, everything else first
 * with a sample a pixel and then as `make` traces it, pass by pass to the shot's own noise target, and filtered as it does.
 */
import { developFilm as displayed } from '../../picture/develop.ts';
import { toCodes } from '../../picture/srgb.ts';
import { WHITE_LEVEL } from '../../scene/ground.ts';
import { developFilm, type FilmState } from '../../tracer/film-state.ts';
import { traceTake } from '../../tracer/film-take.ts';
import type { Pass, PassShare } from '../../tracer/pass-share.ts';
import { filmError } from '../../tracer/stop-rule.ts';
import type { Film } from '../../tracer/tracer.ts';
import type { Turn } from '../../tracer/turned-scene.ts';
import type { LookView } from '../contract.ts';
import type { Stage } from '../place-in-picture.ts';
import { type CleanFilm, FilmCleaner } from './clean-picture.ts';
import type { LookCrew } from './crew.ts';
import type { SceneOrder } from './orders.ts';

export interface Aim {
  view: LookView;
  solids: SceneOrder['solids'];
  sky?: SceneOrder['sky'];
  turn: Turn;
  /** true solids are being built, which must not be kept waiting, and follow */
  draft: boolean;
  /** the band is being turned: coarse pictures only, as many as can be had */
  coarse: boolean;
}

export interface PictureProgress {
  /** `coarse`: of a band that turns; `first`: a sample a pixel; `passes`; `done` at the shot's target */
  stage: 'coarse' | 'first' | 'passes' | 'done';
  version: number;
  /** relative standard error, root mean square over tiles */
  error: number;
  passes: number;
  target: number;
}

/** Pixels of the first picture, and of the film that is traced before one of a much larger frame. */
const SKETCH = 480 * 480;
/** Frames up to this many times a sketch are traced at once. */
const LITTLE_MORE = 1.6;
/** Noise at which a picture can be believed, and a large frame takes over from its sketch. */
const BELIEVED = 0.1;
/** ms that a coarse picture should take, and the pixels it may have */
const COARSE = { ms: 90, first: 144 * 144, least: 80 * 80, most: 320 * 320 };
/** The same with a graphics card: a thirtieth of a second. */
const COARSE_BY_CARD = { ...COARSE, ms: 33 };

export class Picture {
  private readonly canvas: HTMLCanvasElement;
  private readonly crew: LookCrew;
  private readonly onProgress: (progress: PictureProgress) => void;
  private readonly onFailed: (why: string) => void;
  private wanted: Aim | undefined;
  private running = false;
  private share: PassShare | undefined;
  private shown: { film: FilmState; cleaner?: FilmCleaner; clean?: CleanFilm } | undefined;
  private latest: PictureProgress | undefined;
  /** colourway that is shown */
  private plane = 0;
  private composed = '';
  private planes = 1;
  /** where the bands of the composed scene stand, unturned */
  stage: Stage | undefined;
  private coarsePixels = COARSE.first;
  private closed = false;

  constructor(
    canvas: HTMLCanvasElement,
    crew: LookCrew,
    on: { progress: Picture['onProgress']; failed: Picture['onFailed'] },
  ) {
    this.canvas = canvas;
    this.crew = crew;
    this.onProgress = on.progress;
    this.onFailed = on.failed;
  }

  /** Overtakes whatever is being traced. */
  aim(aim: Aim): void {
    this.wanted = aim;
    this.plane = aim.view.colourway;
    this.share?.stop();
    if (!this.running) this.start(() => this.run());
  }

  /** Shows another colourway of the films that are there or under way. */
  wear(plane: number, { version }: LookView): void {
    this.plane = plane;
    const { shown, latest } = this;
    if (!shown || !latest) return;
    const wearing = (clean?: CleanFilm) => {
      this.show({ ...shown, clean });
      this.latest = { ...latest, version };
      this.onProgress(this.latest);
    };
    const { cleaner } = shown;
    // while the workers trace nobody filters: the next picture will be
    if (this.running || !cleaner) wearing();
    else this.start(async () => wearing(await cleaner.again(plane)));
  }

  /** The film that is shown, as `make` would store it, and what its pictures show of it. */
  film(): (Film & { clean?: Float32Array }) | undefined {
    if (!this.shown) return undefined;
    const { film, clean } = this.shown;
    const { width, height } = film;
    return { width, height, data: developFilm(film, this.plane), clean: clean?.data };
  }

  close(): void {
    this.closed = true;
    this.wanted = undefined;
    this.share?.stop();
    this.crew.dismiss();
  }

  private get overtaken(): boolean {
    return this.wanted !== undefined || this.closed;
  }

  /** Workers do one thing at a time; what was aimed at meanwhile comes next. */
  private start(work: () => Promise<void>): void {
    this.running = true;
    work()
      .catch((error) => this.onFailed(error instanceof Error ? error.message : String(error)))
      .finally(() => {
        this.running = false;
        if (this.overtaken && !this.closed) this.start(() => this.run());
      });
  }

  private async run(): Promise<void> {
    while (this.wanted && !this.closed) {
      const aim = this.wanted;
      this.wanted = undefined;
      if (aim.coarse && this.composed !== '') await this.turn(aim);
      else await this.trace(aim);
    }
  }

  private async turn(aim: Aim): Promise<void> {
    const { shot, quality } = aim.view;
    const begun = performance.now();
    const { width, height } = within(shot.widthPx, shot.heightPx, this.coarsePixels);
    await this.crew.turn(aim.turn, width, height);
    // turned scenes are laid over the composed one
    this.composed = 'turned';
    await this.sample(width, height, quality.seed);
    const ms = performance.now() - begun;
    const coarse = this.crew.hasCard ? COARSE_BY_CARD : COARSE;
    const fit = (this.coarsePixels * coarse.ms) / ms;
    const next = Math.min(coarse.most, Math.max(coarse.least, (this.coarsePixels + fit) / 2));
    // a card prepares for each size
    if (!this.crew.hasCard || Math.abs(Math.log2(next / this.coarsePixels)) > 0.5) this.coarsePixels = next;
    this.tell('coarse', aim, Number.POSITIVE_INFINITY, 1);
  }

  private async trace(aim: Aim): Promise<void> {
    const { view } = aim;
    const { widthPx, heightPx } = view.shot;
    const sketch = within(widthPx, heightPx, SKETCH);
    const large = widthPx * heightPx > LITTLE_MORE * SKETCH;
    const first = large ? sketch : { width: widthPx, height: heightPx };
    await this.compose(aim, first);
    if (this.overtaken) return;
    await this.sample(first.width, first.height, view.quality.seed);
    if (this.overtaken) return;
    this.tell('first', aim, Number.POSITIVE_INFINITY, 1);
    if (large) {
      await this.grow(aim, first, Math.max(BELIEVED, view.quality.noise), false);
      if (this.overtaken) return;
      await this.compose(aim, { width: widthPx, height: heightPx });
      if (this.overtaken) return;
    }
    await this.grow(aim, { width: widthPx, height: heightPx }, view.quality.noise, true);
  }

  private async compose({ view, solids, sky, turn, draft }: Aim, size: Size): Promise<void> {
    const { looks } = view;
    const shot = { ...view.shot, widthPx: size.width, heightPx: size.height };
    const key = JSON.stringify([shot, looks, solids.map((s) => s.key), turn]);
    if (key === this.composed) return;
    this.composed = '';
    const { planes, stage } = await this.crew.compose({ shot, looks, solids, sky, turn, draft });
    this.planes = planes;
    this.stage = stage;
    this.composed = key;
  }

  /** One sample of every pixel: noisy, whole and soon there. */
  private async sample(width: number, height: number, seed: number): Promise<void> {
    const { film, share } = await this.crew.film({ width, height, colourways: this.planes });
    this.share = share;
    const tiles = Array.from(film.samples.keys());
    const units = share.deal(film, tiles, this.crew.count);
    await this.crew.pass({ from: 0, middle: 1, to: 1, halfSamples: 0, seed, units });
    if (share.stopped) return;
    film.samples.fill(1);
    this.show({ film });
  }

  /** Pass by pass to a noise target, by the tracer's own rule. @param last no larger film follows */
  private async grow(aim: Aim, size: Size, noiseTarget: number, last: boolean): Promise<void> {
    const { quality } = aim.view;
    const { film, share } = await this.crew.film({ ...size, colourways: this.planes });
    this.share = share;
    if (this.overtaken) share.stop();
    const sketch = this.shown?.film;
    const hands = aim.draft ? Math.max(1, this.crew.count - 1) : this.crew.count;
    const outgrows = () => !sketch || sketch.width >= film.width || film.paths[0] >= sketch.paths[0];
    const { filter, seed, passCap } = quality;
    const colours = aim.view.looks.colours.length;
    // a draft soon makes way for the true solids
    const filtered = filter && !aim.draft;
    const cleaner = filtered ? new FilmCleaner(this.crew, film, colours, seed) : undefined;
    const showing = async (stage: 'passes' | 'done') => {
      // a large frame takes over when it has seen as many paths as its sketch
      if (film.paths[0] === 0 || share.stopped || !outgrows()) return;
      if (stage === 'passes' && cleaner && !cleaner.due) return;
      let clean = await cleaner?.clean(this.plane);
      while (cleaner && clean?.plane !== this.plane) clean = await cleaner.again(this.plane);
      if (share.stopped) return;
      this.show({ film, cleaner, clean });
      const passes = film.samples.reduce((most, n) => Math.max(most, n), 0);
      this.tell(stage, aim, filmError(film).rms, passes);
    };
    const work = async (pass: Pass) => {
      // nobody is at work on the film now: it is as the last pass left it
      await showing('passes');
      if (!share.stopped) await this.crew.pass(pass, hands);
    };
    const options = { seed, passCap, noiseTarget, every: 1000, onProgress: () => {}, filtered };
    await traceTake(film, share, { workers: hands, work }, options);
    await showing(last ? 'done' : 'passes');
  }

  private tell(stage: PictureProgress['stage'], { view }: Aim, error: number, passes: number): void {
    this.latest = { stage, version: view.version, error, passes, target: view.quality.noise };
    this.onProgress(this.latest);
  }

  private show(shown: NonNullable<Picture['shown']>): void {
    this.shown = shown;
    const { film, clean } = shown;
    const { width, height } = film;
    const data = clean?.data ?? developFilm(film, this.plane);
    const light = displayed({ width, height, data }, WHITE_LEVEL);
    const codes = toCodes(light.data, width, height);
    const image = new ImageData(width, height);
    for (let i = 0, o = 0; i < codes.length; i += 3, o += 4) {
      image.data[o] = codes[i];
      image.data[o + 1] = codes[i + 1];
      image.data[o + 2] = codes[i + 2];
      image.data[o + 3] = 255;
    }
    if (this.canvas.width !== width || this.canvas.height !== height) {
      this.canvas.width = width;
      this.canvas.height = height;
    }
    this.canvas.getContext('2d', { colorSpace: 'srgb' })?.putImageData(image, 0, 0);
  }
}

interface Size {
  width: number;
  height: number;
}

/** A frame of the same form with at most so many pixels. */
function within(width: number, height: number, pixels: number): Size {
  const scale = Math.min(1, Math.sqrt(pixels / (width * height)));
  return { width: Math.max(1, Math.round(width * scale)), height: Math.max(1, Math.round(height * scale)) };
}
