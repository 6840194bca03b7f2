/**
 * What views, grounds and stones ask of the tracer, measured with the kernel in this process: microseconds of processor
 * time a path, and how much one sample of a tile varies. `run/take-work.ts` has its first guesses from here.
 * `node --import ./pipeline/cli/typescript.mjs test/forecast/demand.ts [side] [samples]`, a line of JSON a take.
 */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { takeLooks } from '../../pipeline/artefacts/film.ts';
import { takeScene } from '../../pipeline/artefacts/film-scene.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { tileError } from '../../pipeline/tracer/film-error.ts';
import { filmState } from '../../pipeline/tracer/film-state.ts';
import { traceTake } from '../../pipeline/tracer/film-take.ts';
import { filmPlanes } from '../../pipeline/tracer/matte.ts';
import { PassShare, scratchFor } from '../../pipeline/tracer/pass-share.ts';
import { kernel } from '../tracer/kernel-fixture.ts';
import { smallConfig } from './small-config.ts';

const [side = 192, samples = 64] = process.argv.slice(2).map(Number);
const VIEWS = ['three-quarter', 'front', 'flat-lay', 'profile', 'macro', 'inside', 'pair'];
const GROUNDS = ['sweep', 'gloss', 'clear'];
const TEMPLATES = ['plain-court', 'tideline', 'hammered-court', 'half-channel'];
const cases = [
  ...VIEWS.flatMap((view) => TEMPLATES.map((template) => ({ view, ground: 'white', template }))),
  ...GROUNDS.flatMap((ground) =>
    ['three-quarter', 'flat-lay'].flatMap((view) =>
      TEMPLATES.slice(0, 2).map((template) => ({ view, ground, template })),
    ),
  ),
];

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
    const begun = process.cpuUsage();
    const end = await traceTake(
      film,
      share,
      { workers: 1, work: async (pass) => share.work(film, host, pass, scratch) },
      { seed: 1, noiseTarget: 0, passCap: samples, every: 1e9, onProgress: () => {} },
    );
    const { user, system } = process.cpuUsage(begun);
    const variance = Array.from(film.samples, (n, tile) => tileError(film, tile) ** 2 * n).sort(
      (a, b) => a - b,
    );
    const quantiles = Array.from(
      { length: 16 },
      (_, i) => variance[Math.floor(((i + 0.5) / 16) * variance.length)],
    );
    console.log(
      JSON.stringify({
        ...one,
        stones: shapes.reduce((n, s) => n + s.rows.reduce((m, r) => m + r.count, 0), 0),
        side,
        microseconds: +((user + system) / end.paths).toFixed(3),
        mean: +(variance.reduce((a, b) => a + b) / variance.length).toPrecision(3),
        quantiles: quantiles.map((q) => +q.toPrecision(2)),
      }),
    );
  }
} finally {
  rmSync(folder, { recursive: true, force: true });
}
