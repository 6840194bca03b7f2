/**
 * What views, grounds and stones ask of the tracer, measured with the kernel in this process: microseconds of processor
 * time a path, and how much one sample of a tile varies. `run/first-guesses.ts` has its figures from here.
 * `node --import ./pipeline/cli/typescript.mjs test/forecast/demand.ts [side] [samples] [template,…]`, a line of JSON a take.
 */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { takeLooks } from '../../pipeline/artefacts/film.ts';
import { takeScene } from '../../pipeline/artefacts/film-scene.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { tileError } from '../../pipeline/tracer/film-error.ts';
import { filmState, TILE } from '../../pipeline/tracer/film-state.ts';
import { traceTake } from '../../pipeline/tracer/film-take.ts';
import { filmPlanes } from '../../pipeline/tracer/matte.ts';
import { PassShare, scratchFor } from '../../pipeline/tracer/pass-share.ts';
import { kernel } from '../tracer/kernel-fixture.ts';
import { smallConfig } from './small-config.ts';

const [side = 192, samples = 64] = process.argv.slice(2, 4).map(Number);
/** equal shares of the tiles, by variance */
const SHARES = 16;
const VIEWS = ['three-quarter', 'front', 'flat-lay', 'profile', 'macro', 'inside', 'pair'];
const GROUNDS = ['sweep', 'gloss', 'clear'];
/** two of bare metal, two of brilliants, and one of stones with corners */
const TEMPLATES = ['plain-court', 'tideline', 'hammered-court', 'half-channel', 'square-half'];
const ON_GROUNDS = TEMPLATES.slice(0, 2);
const asked = process.argv[4]?.split(',') ?? TEMPLATES;
const cases = [
  ...VIEWS.flatMap((view) => TEMPLATES.map((template) => ({ view, ground: 'white', template }))),
  ...GROUNDS.flatMap((ground) =>
    ['three-quarter', 'flat-lay'].flatMap((view) =>
      ON_GROUNDS.map((template) => ({ view, ground, template })),
    ),
  ),
].filter(({ template }) => asked.includes(template));

const folder = mkdtempSync(join(tmpdir(), 'bandwright-demand-'));
const host = await kernel();
try {
  for (const one of cases) {
    const file = join(folder, 'small.yaml');
    writeFileSync(file, smallConfig({ ...one, frame: [side, side], noise: '5 %', passes: samples }));
    const { plan } = await readPlan(file);
    const take = plan.takes.find((t) => t.shot.view === one.view);
    if (!take) throw new Error(`no take of ${one.view}`);
    const shapes = await Promise.all(take.shapes.map((key) => buildShape(plan.shapes[key])));
    const scene = takeScene(take.shot, takeLooks(take), shapes);
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
    console.log(
      JSON.stringify({
        ...one,
        side,
        variance: shares.map((s) => +mean(s.map((t) => t.variance)).toPrecision(2)),
        microseconds: shares.map((s) => +mean(s.map((t) => t.microseconds)).toFixed(2)),
      }),
    );
  }
} finally {
  rmSync(folder, { recursive: true, force: true });
}

function mean(numbers: readonly number[]): number {
  return numbers.reduce((a, b) => a + b, 0) / numbers.length;
}
