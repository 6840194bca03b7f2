/** What a growing picture tells and shows while it is overtaken, turned and worn in other colours; workers are played. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { LookView } from '../../pipeline/look/contract.ts';
import type { Aim, PictureProgress } from '../../pipeline/look/reader/aim.ts';
import type { LookCrew } from '../../pipeline/look/reader/crew.ts';
import { Picture } from '../../pipeline/look/reader/picture.ts';
import type { FilterTask } from '../../pipeline/tracer/film-filter.ts';
import { type FilmSize, filmState } from '../../pipeline/tracer/film-state.ts';
import { CardShare } from '../../pipeline/tracer/gpu/card-share.ts';
import { FEATURES } from '../../pipeline/tracer/kernel/layout.ts';
import { type Kernel, type Pass, scratchFor } from '../../pipeline/tracer/pass-share.ts';

const SIDE = 16;

/** Every colourway a step of light, so that a film says which it is. */
const kernel: Kernel = {
  render(_x, _y, w, h, from, to, _seed, rgb) {
    const pixels = w * h * 3;
    for (let i = 0; i < rgb.length; i++) rgb[i] = (to - from) * (1 + Math.floor(i / pixels)) * 0.2;
    return w * h * (to - from);
  },
};

/** A door that stays shut until somebody opens it. */
class Door {
  private open: () => void = () => {};
  private reached: () => void = () => {};
  private readonly opened = new Promise<void>((resolve) => {
    this.open = resolve;
  });
  /** somebody stands before it */
  readonly met = new Promise<void>((resolve) => {
    this.reached = resolve;
  });

  async pass(): Promise<void> {
    this.reached();
    await this.opened;
  }

  unlock(): void {
    this.open();
  }
}

type Step = 'compose' | 'turn' | 'pass' | 'filter';

/** Does what workers do, at once but for doors. */
class PlayedCrew {
  readonly count = 1;
  /** what a card shows of a band that turns: this code */
  code: number | undefined;
  readonly done: Step[] = [];
  private readonly doors = new Map<Step, Door>();
  private work: { film: ReturnType<typeof filmState>; share: CardShare } | undefined;

  /** The next such step waits before a door. */
  shut(step: Step): Door {
    const door = new Door();
    this.doors.set(step, door);
    return door;
  }

  async compose() {
    await this.step('compose');
    return { planes: 2, stage: { camera: {}, bands: [], middle: [0, 0] } };
  }

  settle = async () => {};

  turn = () => this.step('turn');

  turned = async (_turn: unknown, { width, height }: FilmSize, { colourway }: { colourway: number }) =>
    this.code && new Uint8ClampedArray(width * height * 4).fill(this.code + colourway);

  async film(size: FilmSize) {
    const film = filmState(size);
    this.work = { film, share: new CardShare(film) };
    return this.work;
  }

  async pass(pass: Pass) {
    const { film, share } = this.work!;
    await this.step('pass');
    share.work(film, kernel, pass, scratchFor(film));
  }

  features = async () => new Float32Array(SIDE * SIDE * FEATURES);

  held = false;

  hold() {
    this.held = true;
  }

  resume() {
    this.held = false;
  }

  filter = async ({ films }: FilterTask) => {
    await this.step('filter');
    films?.raw.forEach((raw, i) => {
      films.filtered[i].set(raw);
    });
  };

  dismiss() {}

  private async step(step: Step) {
    const door = this.doors.get(step);
    this.doors.delete(step);
    await door?.pass();
    this.done.push(step);
  }
}

function viewOf(version: number, colourway: number, filter: boolean): LookView {
  const shot = { widthPx: SIDE, heightPx: SIDE };
  const quality = { noise: 0.05, passCap: 16, seed: 7, filter, engine: 'cpu' };
  const looks = { colours: [[], []] };
  return {
    version,
    choice: {},
    shapes: ['a'],
    shot,
    looks,
    colourway,
    quality,
    asMade: true,
  } as unknown as LookView;
}

/** A picture of a take of two colourways, and what is seen of it. */
function pictured({ filter = false } = {}) {
  const told: PictureProgress[] = [];
  const painted: number[] = [];
  const listeners: (() => void)[] = [];
  const context = { putImageData: (image: ImageData) => painted.push(image.data[0]) };
  const canvas = { width: 0, height: 0, getContext: () => context } as unknown as HTMLCanvasElement;
  const crew = new PlayedCrew();
  const picture = new Picture(canvas, crew as unknown as LookCrew, {
    progress: (p) => {
      told.push(p);
      for (const listener of listeners.splice(0)) listener();
    },
    failed: (why) => {
      throw new Error(why);
    },
  });
  const until = async (good: (p: PictureProgress) => boolean): Promise<PictureProgress> => {
    for (;;) {
      const found = told.find(good);
      if (found) return found;
      await new Promise<void>((resolve) => listeners.push(resolve));
    }
  };
  const aim = (version: number, key: string, more: Partial<Aim> = {}) =>
    picture.aim({
      view: viewOf(version, 0, filter),
      solids: [{ key, blob: new SharedArrayBuffer(0) }],
      turn: { angle: 0, rise: 0 },
      draft: false,
      coarse: false,
      ...more,
    });
  const wear = (version: number, colourway: number) => picture.wear(viewOf(version, colourway, filter));
  return { picture, crew, told, painted, until, aim, wear };
}

const ImageDataBefore = globalThis.ImageData;
beforeAll(() => {
  class Codes {
    readonly data: Uint8ClampedArray;
    constructor(data: Uint8ClampedArray) {
      this.data = data;
    }
  }
  Object.assign(globalThis, { ImageData: Codes });
});
afterAll(() => {
  Object.assign(globalThis, { ImageData: ImageDataBefore });
});

describe('a growing picture', () => {
  it('goes on under the version that asks for another of its colourways', async () => {
    const { crew, picture, told, until, aim, wear } = pictured();
    const door = crew.shut('pass');
    aim(1, 'band');
    await door.met;
    wear(2, 1);
    door.unlock();
    const done = await until((p) => p.stage === 'done');
    expect(done.version).toBe(2);
    expect(told.every((p) => p.version === 2)).toBe(true);
    expect(picture.film()?.data[0]).toBeCloseTo(0.4, 5);
    expect(crew.done.filter((step) => step === 'compose')).toHaveLength(1);
  });

  it('has the newest version, too, where the take has yet to begin', async () => {
    const { crew, told, until, aim, wear } = pictured();
    const door = crew.shut('compose');
    aim(1, 'band');
    await door.met;
    aim(2, 'other');
    wear(3, 1);
    door.unlock();
    expect((await until((p) => p.stage === 'done')).version).toBe(3);
    expect(told.map((p) => p.version)).not.toContain(2);
  });

  it('never tells of the film of the take before as if it were the new one', async () => {
    const { crew, told, until, aim, wear } = pictured();
    aim(1, 'band');
    await until((p) => p.stage === 'done');
    const before = told.length;
    const door = crew.shut('compose');
    aim(2, 'other');
    await door.met;
    wear(3, 1);
    expect(told).toHaveLength(before);
    door.unlock();
    await until((p) => p.version === 3 && p.stage === 'done');
    expect(told.slice(before).map(({ stage }) => stage)[0]).toBe('sketch');
  });

  it('shows the colourway that was chosen last, also where another is being filtered', async () => {
    const { crew, picture, painted, until, aim, wear } = pictured({ filter: true });
    aim(1, 'band');
    await until((p) => p.stage === 'done');
    const [gold] = painted;
    // edits are heard of in turns of their own
    await new Promise((resolve) => setImmediate(resolve));
    const door = crew.shut('filter');
    wear(2, 1);
    await door.met;
    wear(3, 0);
    door.unlock();
    await until((p) => p.version === 3 && p.stage === 'done');
    expect(painted.at(-1)).toBe(gold);
    expect(picture.film()?.clean?.[0]).toBeCloseTo(0.2, 5);
  });

  it('finishes a coarse picture though the hand moves on', async () => {
    const { crew, told, painted, until, aim } = pictured();
    aim(1, 'band');
    await until((p) => p.stage === 'done');
    const before = painted.length;
    const door = crew.shut('pass');
    aim(1, 'band', { coarse: true, turn: { angle: 0.1, rise: 0 } });
    await door.met;
    aim(1, 'band', { coarse: true, turn: { angle: 0.2, rise: 0 } });
    door.unlock();
    await until(() => told.filter(({ stage }) => stage === 'coarse').length === 2);
    expect(painted.length - before).toBe(2);
  });

  it('shows what a card makes of a turn, in the colourway that is worn, and traces anew once it rests', async () => {
    const { crew, picture, painted, told, until, aim, wear } = pictured();
    aim(1, 'band');
    await until((p) => p.stage === 'done');
    crew.code = 77;
    aim(1, 'band', { coarse: true, turn: { angle: 0.1, rise: 0 } });
    await until((p) => p.stage === 'coarse');
    expect(painted.at(-1)).toBe(77);
    expect(picture.film()).toBeUndefined();
    wear(2, 1);
    aim(1, 'band', { coarse: true, turn: { angle: 0.2, rise: 0 } });
    picture.wear(viewOf(2, 1, false));
    await until(() => told.filter(({ stage }) => stage === 'coarse').length === 2);
    expect(painted.at(-1)).toBe(78);
    // the workers' scene was left as it was, but what lies on the card is turned
    expect(crew.done).not.toContain('turn');
    const before = told.length;
    aim(1, 'band');
    await until((p) => p.stage === 'done' && told.lastIndexOf(p) >= before);
    expect(crew.done.filter((step) => step === 'compose')).toHaveLength(2);
  });

  it('rests while a file is being read, until there is something else to show', async () => {
    const { crew, picture, told, until, aim, wear } = pictured();
    aim(1, 'band');
    await until((p) => p.stage === 'done');
    expect(told[0].stage).toBe('sketch');
    picture.hold();
    expect(crew.held).toBe(true);
    aim(2, 'other');
    expect(crew.held).toBe(false);
    await until((p) => p.version === 2 && p.stage === 'done');
    picture.hold();
    wear(3, 1);
    expect(crew.held).toBe(false);
    picture.hold();
    picture.resume();
    expect(crew.held).toBe(false);
  });

  it('says when its aim is seen, and lets nobody wait for one that can never be', async () => {
    const { crew, picture, told, aim } = pictured();
    const door = crew.shut('compose');
    aim(1, 'band');
    await door.met;
    const seen = picture.seen.then(() => told.length);
    door.unlock();
    expect(await seen).toBe(1);
    const shut = crew.shut('compose');
    aim(2, 'other');
    await shut.met;
    const never = picture.seen;
    picture.close();
    await never;
  });
});
