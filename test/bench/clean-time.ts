/**
 * Time until a picture of 1500 px shows no grain (`quality.noise` as it is unless a config says otherwise), and until a
 * range of 64 takes does, from a sample of them traced whole. Wall clock, in the browser as the catalogue is made, so a
 * machine with nothing else to do is wanted.
 */
import { takeLooks } from '../../pipeline/artefacts/film.ts';
import { takeScene } from '../../pipeline/artefacts/film-scene.ts';
import type { Plan, TakePlan } from '../../pipeline/plan/plan.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { applyFits, chooseFits } from '../../pipeline/tracer/film-filter.ts';
import { GUIDE_PLANES, guideOf } from '../../pipeline/tracer/film-guide.ts';
import { filterCrew } from '../../pipeline/tracer/filter-threads.ts';
import { createTracerSession } from '../../pipeline/tracer/session.ts';
import type { Film } from '../../pipeline/tracer/tracer.ts';
import { demoScene } from './demo-band.ts';
import type { Measurement } from './measurement.ts';

const NIGHT = 'test/bench/night.yaml';
/** one of each shot and kind of stone, of a middling size */
const MIDDLE = 0.5;

export const cleanTime: Measurement = {
  name: 'clean-time',
  about:
    'time to a 1500² picture without visible grain, and hours of a night of 64 such takes from a sample of 4',
  async run({ quick, record, say }) {
    const { plan } = await readPlan(NIGHT);
    const side = quick ? 150 : 1500;
    const { noise: noiseTarget, passCap, seed } = plan.quality;
    const session = await createTracerSession();
    const trace = async (scene: Parameters<typeof session.trace>[0], label: string) => {
      const start = performance.now();
      const planes: Film[] = [];
      const onFilm = async (film: Film, plane: number) => {
        planes[plane] = { ...film, data: film.data.slice() };
      };
      const options = { seed, noiseTarget, passCap, filtered: true, guide: true, onFilm };
      const { error, paths, passes, processor } = await session.trace(scene, options);
      const traced = (performance.now() - start) / 1000;
      await filter(planes);
      const seconds = (performance.now() - start) / 1000;
      const used = processor ? processor.perPath * paths + processor.setUp : Number.NaN;
      say(`${label}: ${used.toFixed(0)} s of processor time to trace`);
      say(
        `${label}: ${traced.toFixed(0)} s and ${(seconds - traced).toFixed(1)} s for the filter, ${(paths / 1e6).toFixed(1)} M paths, at most ${passes} a pixel, reached ${error.toFixed(4)}`,
      );
      return seconds;
    };
    try {
      await session.start();
      record(`clean_${side}_s`, await trace(await demoScene(side), 'three-quarter, all colourways'), 's');
      const sample = sampleOf(plan);
      let seconds = 0;
      for (const take of sample) {
        const shapes = await Promise.all(take.shapes.map((key) => buildShape(plan.shapes[key])));
        const shot = { ...take.shot, widthPx: side, heightPx: side };
        const label = `${shot.name} with ${take.optics.flat().join(', ')}`;
        seconds += await trace(takeScene(shot, takeLooks(take), shapes), label);
      }
      say(`${sample.length} of ${plan.takes.length} takes`);
      record(`night_${side}_h`, (seconds * plan.takes.length) / sample.length / 3600, 'h');
    } finally {
      await session.close();
    }
  },
};

/** As a catalogue does it: four colourways at a time. */
async function filter(planes: readonly Film[]): Promise<void> {
  const films = planes.slice(0, -GUIDE_PLANES).map(({ data }) => data);
  const mean = films[0].map((_, i) => films.reduce((sum, film) => sum + film[i], 0) / films.length);
  const guide = guideOf(planes.slice(-GUIDE_PLANES), mean);
  const crew = await filterCrew(guide.width * guide.height, films.length);
  const choice = await chooseFits(guide, crew.hands);
  for (let from = 0; from < films.length; from += 4)
    await applyFits(guide, crew.hands, choice, films.slice(from, from + 4));
  await crew.close();
}

/** The middle one of the takes of each shot and each set of stones' optics. */
function sampleOf(plan: Plan): TakePlan[] {
  const kinds = new Map<string, TakePlan[]>();
  for (const take of plan.takes) {
    const kind = `${take.shot.name} ${take.optics.flat().join()}`;
    kinds.set(kind, [...(kinds.get(kind) ?? []), take]);
  }
  return [...kinds.values()].map((takes) => takes[Math.floor(takes.length * MIDDLE)]);
}
