/**
 * What views, grounds and stones ask of the tracer, measured with the kernel in this process: microseconds of processor
 * time a path, and how much one sample of a tile varies, as films that will be filtered are judged. Writes
 * `pipeline/run/measured-demand.ts`, for which it is run again when the kernel, the views' light or the stop rule's measure
 * has changed by much:
 *
 *   node --import ./pipeline/cli/typescript.mjs test/forecast/demand.ts [side] [samples]
 */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { cpus, tmpdir } from 'node:os';
import { join } from 'node:path';
import { takeLooks } from '../../pipeline/artefacts/film.ts';
import { takeScene } from '../../pipeline/artefacts/film-scene.ts';
import type { BuiltShape } from '../../pipeline/band/built-shape.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import type { Distance, GroundRatios, StonesSeen, TileDemand } from '../../pipeline/run/take-traits.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { tileError } from '../../pipeline/tracer/film-error.ts';
import { filmState, TILE } from '../../pipeline/tracer/film-state.ts';
import { traceTake } from '../../pipeline/tracer/film-take.ts';
import { filmPlanes } from '../../pipeline/tracer/matte.ts';
import { PassShare, scratchFor } from '../../pipeline/tracer/pass-share.ts';
import { kernel } from '../tracer/kernel-fixture.ts';
import { smallConfig } from './small-config.ts';

const [side = 192, samples = 64] = process.argv.slice(2).map(Number);
const SHARES = 16;
const VIEWS = ['three-quarter', 'front', 'flat-lay', 'profile', 'macro', 'inside', 'pair'];
const GROUNDS = ['sweep', 'gloss', 'clear'];
/** views on which grounds are compared with white */
const ON_GROUNDS: Record<Distance, readonly string[]> = {
  whole: ['three-quarter', 'flat-lay'],
  near: ['macro', 'inside'],
};
/** the first of each on all grounds */
const TEMPLATES: Record<StonesSeen, readonly string[]> = {
  none: ['plain-court'],
  worked: ['hammered-court'],
  round: ['tideline', 'half-channel'],
  cornered: ['square-half'],
};

const folder = mkdtempSync(join(tmpdir(), 'bandwright-demand-'));
const host = await kernel();
const shapes = new Map<string, BuiltShape>();
const takes = new Map<string, TileDemand>();
try {
  const views: Record<string, Record<string, TileDemand>> = {};
  for (const view of VIEWS)
    for (const [stones, templates] of Object.entries(TEMPLATES)) {
      const each = [];
      for (const template of templates) each.push(await measured(view, 'white', template));
      views[view] = { ...views[view], [stones]: mixed(each) };
    }
  const grounds: Record<string, Record<string, Record<string, GroundRatios>>> = {};
  for (const ground of GROUNDS)
    for (const [distance, near] of Object.entries(ON_GROUNDS)) {
      const stones: [string, GroundRatios][] = [];
      for (const [name, [template]] of Object.entries(TEMPLATES))
        stones.push([name, await onGround(ground, near, template)]);
      grounds[ground] = { ...grounds[ground], [distance]: Object.fromEntries(stones) };
    }
  const where = `${cpus()[0]?.model.trim()}, one core, ${side}² pixels, ${samples} samples, one colourway`;
  writeFileSync(
    'pipeline/run/measured-demand.ts',
    `/** Written by test/forecast/demand.ts: ${where}. */\n` +
      "import type { GroundDemand, ViewDemand } from './take-traits.ts';\n\n" +
      '/** On white ground. */\n' +
      `export const VIEW_DEMAND: ViewDemand = ${JSON.stringify(views)};\n\n` +
      `export const GROUND_DEMAND: GroundDemand = ${JSON.stringify(grounds)};\n`,
  );
} finally {
  rmSync(folder, { recursive: true, force: true });
}

/** Against white, over some views. */
async function onGround(ground: string, views: readonly string[], template: string): Promise<GroundRatios> {
  const ratios = [];
  for (const view of views)
    ratios.push(against(await measured(view, ground, template), await measured(view, 'white', template)));
  return {
    pace: figure(geometric(ratios.map(({ pace }) => pace))),
    demand: figure(geometric(ratios.map(({ demand }) => demand))),
  };
}

async function measured(view: string, ground: string, template: string): Promise<TileDemand> {
  const named = `${view} ${ground} ${template}`;
  const known = takes.get(named) ?? (await measure(view, ground, template));
  takes.set(named, known);
  return known;
}

async function measure(view: string, ground: string, template: string): Promise<TileDemand> {
  const file = join(folder, 'small.yaml');
  const frame = [side, side] as const;
  writeFileSync(file, smallConfig({ template, view, ground, frame, noise: '5 %', passes: samples }));
  const { plan } = await readPlan(file);
  const take = plan.takes.find((t) => t.shot.view === view);
  if (!take) throw new Error(`no take of ${view}`);
  const built: BuiltShape[] = [];
  for (const key of take.shapes) {
    const known = `${template} ${key}`;
    const shape = shapes.get(known) ?? (await buildShape(plan.shapes[key]));
    shapes.set(known, shape);
    built.push(shape);
  }
  const scene = takeScene(take.shot, takeLooks(take), built);
  host.load(scene);
  const film = filmState({ width: side, height: side, colourways: filmPlanes(scene) });
  const share = new PassShare(film);
  const scratch = scratchFor(film);
  // microseconds of processor time and paths, by tile
  const used = new Float64Array(film.samples.length);
  const paths = new Float64Array(film.samples.length);
  const timed: typeof host.render = (x, y, w, h, ...rest) => {
    const begun = process.cpuUsage();
    const done = host.render(x, y, w, h, ...rest);
    const { user, system } = process.cpuUsage(begun);
    const tile = Math.floor(y / TILE) * film.tilesX + Math.floor(x / TILE);
    used[tile] += user + system;
    paths[tile] += done;
    return done;
  };
  const features: typeof host.features = (...rect) => host.features(...rect);
  await traceTake(
    film,
    share,
    { workers: 1, work: async (pass) => share.work(film, { render: timed, features }, pass, scratch) },
    { seed: 1, noiseTarget: 0, passCap: samples, filtered: true, every: 1e9, onProgress: () => {} },
  );
  const tiles = Array.from(film.samples, (n, tile) => ({
    variance: tileError(film, tile) ** 2 * n,
    microseconds: used[tile] / paths[tile],
  })).sort((a, b) => a.variance - b.variance);
  const shares = Array.from({ length: SHARES }, (_, i) =>
    tiles.slice(Math.floor((i / SHARES) * tiles.length), Math.floor(((i + 1) / SHARES) * tiles.length)),
  );
  console.error(`${view} ${ground} ${template}`);
  return {
    variance: shares.map((s) => figure(mean(s.map((t) => t.variance)))),
    microseconds: shares.map((s) => figure(mean(s.map((t) => t.microseconds)))),
  };
}

function mixed(each: readonly TileDemand[]): TileDemand {
  const of = (key: keyof TileDemand) =>
    each[0][key].map((_, i) => figure(geometric(each.map((one) => one[key][i]))));
  return { variance: of('variance'), microseconds: of('microseconds') };
}

/** Quiet tiles get the least number of samples on any ground: the noisier half tells how many are asked for. */
function against(one: TileDemand, white: TileDemand): GroundRatios {
  const ratios = (key: keyof TileDemand, from: number) =>
    one[key].slice(from).map((value, i) => value / white[key][from + i]);
  return {
    pace: geometric(ratios('microseconds', 0)),
    demand: geometric(ratios('variance', SHARES / 2)),
  };
}

function geometric(numbers: readonly number[]): number {
  return numbers.some((n) => n === 0) ? 0 : Math.exp(mean(numbers.map((n) => Math.log(n))));
}

function mean(numbers: readonly number[]): number {
  return numbers.reduce((a, b) => a + b, 0) / numbers.length;
}

function figure(x: number): number {
  return Number(x.toPrecision(2));
}
