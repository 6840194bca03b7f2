import { takeName } from '../artefacts/film.ts';
import { MODEL } from '../artefacts/model.ts';
import { PICTURE } from '../artefacts/picture.ts';
import type { ImageOutput, Plan, ShotPlan } from '../plan/plan.ts';
import { type UnbuildablePair, withoutUnbuildablePairs } from './buildable.ts';
import { surveyAdopted } from './film-engines.ts';
import { forecastBeside, type PieceForecast } from './forecast-beside.ts';
import { picturesOf } from './survey.ts';
import { openWorkplace } from './workplace.ts';

export interface TakeForecast {
  id: string;
  name: string;
  colourways: number;
  /** of a take with more colourways than one run can hold */
  part?: { number: number; of: number };
  trace: boolean;
  encode: number;
  reason: string;
  /** left alone until config or code change, or `--retry` */
  quarantined: boolean;
  predictedSeconds: number;
}

export interface Forecast {
  catalogue: string;
  variants: number;
  /** those that can be built, as far as planning shows it */
  pairs: number;
  /** those that are not counted */
  unbuildable: UnbuildablePair[];
  shapes: { total: number; cached: number };
  takes: TakeForecast[];
  pictures: { total: number; files: number; cached: number };
  models: { total: number; cached: number };
  /** what is made beside takes and pictures, kind by kind */
  beside: PieceForecast[];
  predictedSeconds: number;
  /** false until a take was measured on this machine */
  measured: boolean;
  predictedBytes: number;
}

/** Seconds to encode one picture's files; measured on two cores, see the run's report. */
export const ENCODE_SECONDS = 0.5;

/** Bytes per pixel of a ring on white ground, measured on the demo's files; AVIF guessed from one of them. */
const BYTES_PER_PIXEL: Record<ImageOutput['format'], number> = {
  avif: 0.06,
  webp: 0.06,
  jpeg: 0.14,
  png: 0.9,
  // as PNG, with a weaker compression: guessed
  tiff: 1.2,
};
/** One film as stored, bytes per pixel. Measured on the demo. */
export const FILM_BYTES_PER_PIXEL = 2;

/**
 * What making a plan would do, without doing any of it.
 * @param workers that will trace at once; one per core unless given
 */
export async function forecast(whole: Plan, out: string, workers?: number): Promise<Forecast> {
  const { plan, unbuildable } = await withoutUnbuildablePairs(whole);
  const place = await openWorkplace(plan, out, { workers, anyEngine: true });
  const survey = await surveyAdopted(place);
  const { work, costs } = place;
  const takes = survey.takes.map((t): TakeForecast => {
    const trace = t.trace && !t.quarantine ? costs.predict(t.work.take, t.work.noise) : 0;
    return {
      id: t.work.take.id,
      name: takeName(t.work),
      colourways: t.work.take.colourways.length,
      ...(t.work.take.part ? { part: t.work.take.part } : {}),
      trace: t.trace,
      encode: picturesOf(t),
      reason: t.reason,
      quarantined: t.quarantine !== undefined,
      predictedSeconds: trace + picturesOf(t) * ENCODE_SECONDS,
    };
  });
  const beside = await forecastBeside(place, survey, out);
  const shapes = Object.keys(plan.shapes).length;
  const total = work.pieces(PICTURE).length;
  const models = work.pieces(MODEL).length;
  const todo = survey.takes.reduce((n, t) => n + picturesOf(t), 0);
  return {
    catalogue: plan.catalogue,
    variants: plan.variants.length,
    pairs: plan.pairs.length,
    unbuildable,
    shapes: { total: shapes, cached: shapes - survey.shapes.length },
    takes,
    pictures: {
      total,
      files: total * (1 + plan.images.reduce((n, o) => n + o.widths.length, 0)),
      cached: total - todo,
    },
    models: { total: models, cached: models - survey.missing(MODEL).length },
    beside,
    predictedSeconds: [...takes, ...beside].reduce((s, t) => s + t.predictedSeconds, 0),
    measured: costs.measured,
    predictedBytes: predictBytes(plan) + beside.reduce((s, b) => s + b.predictedBytes, 0),
  };
}

/** Films and pictures, in the finished catalogue and its store together. */
function predictBytes(plan: Plan): number {
  const aspect = (shot: ShotPlan) => shot.heightPx / shot.widthPx;
  let sum = 0;
  for (const take of plan.takes) {
    const films = take.colourways.length * take.shot.widthPx * take.shot.heightPx * FILM_BYTES_PER_PIXEL;
    let picture = 0;
    for (const o of plan.images)
      for (const w of o.widths)
        picture += Math.min(w, take.shot.widthPx) ** 2 * aspect(take.shot) * BYTES_PER_PIXEL[o.format];
    const served = take.colourways.reduce((n, c) => n + c.pictures.length, 0);
    sum += films + picture * (take.colourways.length + served);
  }
  return Math.round(sum);
}
