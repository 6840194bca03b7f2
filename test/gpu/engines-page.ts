/** What a browser's page is given to compare engines in itself: by whatever card it has, which may be a processor. */

import { LookCard } from '../../pipeline/look/reader/card.ts';
import { developFilm } from '../../pipeline/picture/develop.ts';
import { toCodes } from '../../pipeline/picture/srgb.ts';
import { WHITE_LEVEL } from '../../pipeline/scene/ground.ts';
import type { TraceScene } from '../../pipeline/scene/trace-scene.ts';
import { type FilmState, filmState, meanFilm, SEEN } from '../../pipeline/tracer/film-state.ts';
import { traceTake } from '../../pipeline/tracer/film-take.ts';
import { CardShare } from '../../pipeline/tracer/gpu/card-share.ts';
import { type AdapterFacts, type Gpu, openGpu } from '../../pipeline/tracer/gpu/device.ts';
import { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import type { Pass } from '../../pipeline/tracer/pass-share.ts';
import { turnedScene, type ViewTurn } from '../../pipeline/tracer/turned-scene.ts';
import { byCard, byKernel, difference, featuresApart, wholeDifference } from './films.ts';
import { type ProbeResult, runProbes } from './probes.ts';
import { CLEAR, colourless, GLOSS, probeScene, SCENES } from './scenes.ts';

export interface FilmResult {
  name: string;
  /** root mean square of films of the same seed, and of another one */
  same: number;
  other: number;
  /** largest difference of a channel's sum over the frame, of films of the same seed */
  whole: number;
  /** ms of the card: programs compiled, passes traced */
  engage: number;
  trace: number;
  /** error estimates of both films of the same seed, which are judged as films that will be filtered */
  errors: [number, number];
  /** share of the pixels whose features differ, of those that show a stone, and of those seen as another thing */
  features: number;
  stones: number;
  seen: number;
}

export interface EngineResults {
  facts: AdapterFacts;
  probes: ProbeResult[];
  films: FilmResult[];
  live: LiveResult;
  /** what a take says whose card was lost in its midst */
  lost: string;
}

/** The live view's card at a turned band. */
export interface LiveResult {
  /** differences as above, from the kernel's turned film and from the band unturned */
  same: number;
  unturned: number;
  /** largest difference of a code between what the card shows of it and what the page makes of the same film */
  codes: number;
  /** it takes no processor that plays a card unless told to */
  refuses: boolean;
  works: boolean;
  /** the same once its device is lost, and whether it then does a pass */
  afterwards: boolean[];
}

async function compareEngines({ passes }: { passes: number }): Promise<EngineResults> {
  const gpu = await openGpu(navigator.gpu);
  if (!gpu) throw new Error('the browser has no card to give');
  const wasm = await WebAssembly.compileStreaming(fetch('kernel.wasm'));
  const host = await KernelHost.create(wasm);
  host.load(probeScene());
  const probes = await runProbes(gpu, host);
  const films: FilmResult[] = [];
  for (const [name, make] of Object.entries(SCENES)) {
    // programs for a matte take as long to compile as all the others: a take of the session has one
    if (name === CLEAR) continue;
    const scene = make();
    host.load(scene);
    const filtered = true;
    const kernel = await byKernel(host, scene, { seed: 5, passCap: passes, filtered });
    const another = await byKernel(host, scene, { seed: 6, passCap: passes });
    const card = await byCard(gpu, host, scene, { seed: 5, passCap: passes, filtered });
    const { width, height } = scene;
    const shows = kernel.film.seen;
    const shareOf = (fits: (pixel: number) => boolean) =>
      shows.filter((_, pixel) => fits(pixel)).length / shows.length;
    films.push({
      name,
      same: difference(card.film, kernel.film),
      other: difference(another.film, kernel.film),
      whole: wholeDifference(card.film, kernel.film),
      engage: card.engage,
      trace: card.trace,
      errors: [card.end.error, kernel.end.error],
      features: card.features ? featuresApart(card.features, host.features(0, 0, width, height, 5)) : 1,
      stones: shareOf((pixel) => shows[pixel] === SEEN.stone),
      seen: shareOf((pixel) => shows[pixel] !== card.film.seen[pixel]),
    });
  }
  const { card, ...live } = await liveCard(gpu, host, wasm);
  const lost = await loseCard(gpu, host);
  const film = filmState({ width: 32, height: 32, colourways: 2 });
  const pass = { from: 0, middle: 1, to: 1, halfSamples: 0, seed: 1, units: 4 };
  const afterwards = [card.works, await card.pass(pass, film, new CardShare(film))];
  return { facts: gpu.facts, probes, films, live: { ...live, afterwards }, lost };
}

const liveScene = SCENES[GLOSS];
const FEW = { seed: 5, passCap: 4, noiseTarget: 0, filtered: true };
const TURN: ViewTurn = { angle: 0.7, rise: 0.1 };

async function liveCard(gpu: Gpu, host: KernelHost, wasm: WebAssembly.Module) {
  const refuses = (await LookCard.open(navigator.gpu, wasm, false)) === undefined;
  const card = new LookCard(gpu, await KernelHost.create(wasm));
  const scene = liveScene();
  host.load(scene);
  const unturned = await byKernel(host, scene, FEW);
  const kernel = await turnedIn(card, host, scene);
  card.turn(TURN, scene.width, scene.height);
  const film = filmState({ width: scene.width, height: scene.height, colourways: 1 });
  const share = new CardShare(film);
  const work = async (pass: Pass) => {
    // not before its programs are there
    while (card.works && !(await card.pass(pass, film, share))) await new Promise((r) => setTimeout(r, 50));
  };
  await traceTake(film, share, { workers: 1, work }, { ...FEW, every: 1e6, onProgress() {} });
  const same = difference(film, kernel);
  const codes = await codesApart(card, host);
  return { card, same, unturned: difference(unturned.film, kernel), codes, refuses, works: card.works };
}

/** Gives the card the scene that the kernel has loaded, and turns it in the kernel: its film there. */
async function turnedIn(card: LookCard, host: KernelHost, scene: TraceScene): Promise<FilmState> {
  card.compose({ image: host.image(), still: scene });
  host.turn(turnedScene(scene, TURN, host.middle), TURN.angle);
  return (await byKernel(host, scene, FEW)).film;
}

/** Of what the card alone shows of the second of two colourways and of the kernel's film: by the programs of one. */
async function codesApart(card: LookCard, host: KernelHost): Promise<number> {
  const scene = { ...liveScene(), colourways: colourless() };
  host.load(scene);
  const film = await turnedIn(card, host, scene);
  const { width, height } = film;
  const [seed, samples, colourway] = [FEW.seed, FEW.passCap, 1];
  let shown: Uint8ClampedArray | undefined;
  while (card.works && !shown) {
    shown = await card.turned(TURN, film, { seed, samples, colourway });
    await new Promise((r) => setTimeout(r, 50));
  }
  const light = developFilm({ width, height, data: meanFilm(film, colourway) }, WHITE_LEVEL);
  return toCodes(light.data, width, height).reduce(
    (most, code, i) => Math.max(most, Math.abs(code - (shown?.[4 * Math.floor(i / 3) + (i % 3)] ?? 1e3))),
    0,
  );
}

/** The device goes in the midst of a take, as it does when a driver starts anew. */
async function loseCard(gpu: Gpu, host: KernelHost): Promise<string> {
  const scene = SCENES['stones of six colours under a picture of the sky, on a sweep']();
  host.load(scene);
  const taking = byCard(gpu, host, scene, { seed: 5, passCap: 4096 });
  setTimeout(() => gpu.device.destroy(), 500);
  return taking.then(
    () => 'it went on',
    (error) => `${error.name}, ${error.reason}`,
  );
}

Object.assign(globalThis, { compareEngines });
