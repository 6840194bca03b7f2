import { BORE_FINISH, finishSurface, gemOptics, subjectColours } from '../facts/looks.ts';
import type { ShapeKey, ShotPlan, Sku, TakePlan } from '../plan/plan.ts';
import type { ArtefactName } from '../store/artefact-store.ts';
import type { ContentKey } from '../store/content-key.ts';
import { artefactKey } from '../store/content-key.ts';
import { buildFiles } from '../tracer/built-files.mjs';
import { ENGINE, ENGINES, type EngineId } from '../tracer/tracer.ts';
import type { TakeLooks } from './film-scene.ts';
import type { Kind, Planning } from './kind.ts';
import { geometryKeys } from './solid.ts';

/** Everything that can decide a take's films, apart, so that a rerun can say which of them changed. */
export interface TakeInputs {
  solids: string;
  shot: string;
  finishes: string;
  colours: string;
  quality: string;
  /** the engine and its code */
  engine: string;
}

/** The code behind an engine's films: the cores' own, and beside it what traces in their place. */
export const codeOfEngine = (engine: EngineId, versions: Readonly<Record<string, string>>) =>
  engine === ENGINE ? versions.film : `${versions.film} ${versions.card}`;

/** One tracing run: a film of each colourway and what they share. */
export interface TakeWork {
  take: TakePlan;
  /** noise target; above the plan's where a deadline lowered quality */
  noise: number;
  looks: TakeLooks;
  inputs: TakeInputs;
  /** whose films these are */
  engine: EngineId;
  /** content key of the take's record as each engine would make it: by that of ENGINE machines name a take to each other */
  records: Readonly<Record<EngineId, ContentKey>>;
  /** content key of the take's record: error and passes reached */
  record: ContentKey;
  /** content key of each colourway's film */
  films: ContentKey[];
  /** content key of the matte of a take on clear ground */
  matte?: ContentKey;
  /** content key of what the film filter needs (`tracer/film-guide.ts`) */
  guide: ContentKey;
}

/**
 * Films of a take. Which takes are traced first, what waits and what is left for another run is the run's affair
 * (`run/tracing.ts`), and so their cost.
 */
export const FILM: Kind<TakeWork> = {
  name: 'film',
  order: 'traced',
  code: [
    'artefacts/film-scene.ts',
    'scene/subject-frame.ts',
    'tracer/film-file.ts',
    'tracer/page/page.ts',
    'tracer/page/worker.ts',
  ],
  compiled: async () => (await buildFiles()).kernel,
  shared: true,
  plan: (planning) => {
    const solids = geometryKeys(planning);
    return planning.plan.takes.map((take) => takeWork(take, solids, planning));
  },
  skus: (work) => skusOfTake(work),
  take: ({ record }) => record,
  uses: (work) => [
    ...sharedBy(work),
    ...[...work.films, work.guide].map((key): ArtefactName => `film/${key}`),
    `fault/${work.record}`,
  ],
  // a film is worth tracing for what is made from it: with its pictures there it may be gone
  lacking: async (work, { has, asked }) => {
    const asking = [...work.films, work.guide].map((key): ArtefactName => `film/${key}`).filter(asked);
    for (const name of [...sharedBy(work), ...asking]) if (!(await has(name))) return true;
    return false;
  },
};

function sharedBy({ record, matte }: TakeWork): ArtefactName[] {
  return [`film/${record}`, ...(matte ? [`film/${matte}` as const] : [])];
}

function takeWork(take: TakePlan, solids: ReadonlyMap<ShapeKey, ContentKey>, planning: Planning): TakeWork {
  const { plan, versions } = planning;
  const engine = planning.engineOf(take);
  const noise = planning.noise(take);
  const looks = takeLooks(take);
  const { finishes, matters, bore, gems } = looks;
  const inputsOf = (engine: EngineId): TakeInputs => ({
    solids: artefactKey(take.shapes.map((s) => solids.get(s))),
    shot: artefactKey(shotInputs(take.shot)),
    finishes: artefactKey({ finishes, ...(matters && { matters }), bore, optics: gems }),
    colours: artefactKey(looks.colours),
    quality: artefactKey({
      passCap: plan.quality.passCap,
      seed: plan.quality.seed,
      noise,
      filter: plan.quality.filter,
    }),
    engine: `${engine} ${codeOfEngine(engine, versions)}`,
  });
  const inputs = inputsOf(engine);
  const recordOf = (engine: EngineId) => artefactKey({ layer: 'film', inputs: inputsOf(engine), record: 1 });
  const records = Object.fromEntries(
    ENGINES.map((engine) => [engine, recordOf(engine)]),
  ) as TakeWork['records'];
  // Colourways share paths, roulette and stop rule, so a film belongs to its whole take and not to its colours alone.
  const films = take.colourways.map((_, i) => artefactKey({ layer: 'film', inputs, colourway: i }));
  const clear = take.shot.ground.kind === 'clear';
  const matte = clear ? { matte: artefactKey({ layer: 'film', inputs, matte: 1 }) } : {};
  const guide = artefactKey({ layer: 'film', inputs, guide: 1 });
  return { take, noise, looks, inputs, engine, records, record: records[engine], films, ...matte, guide };
}

/** How the bands of a take look, by the tables of finishes, alloys and stones. */
export function takeLooks({ finishes, matters, optics, colourways }: TakePlan): TakeLooks {
  return {
    finishes: finishes.map((f) => f.map(finishSurface)),
    ...(matters && { matters }),
    bore: finishSurface(BORE_FINISH),
    gems: optics.map((o) => o.map(gemOptics)),
    colours: colourways.map((c) => c.dresses.map(subjectColours)),
  };
}

/** What of a shot decides its films: not its name, nor its studio's, nor where the
 * picture of a sky lies, nor how many frames a turntable has. */
function shotInputs({ name: _, lights: __, turn, studio, ...shot }: ShotPlan): object {
  const sky = studio.sky && { ...studio.sky, file: undefined };
  return { ...shot, studio: { ...studio, sky }, turn: turn?.angle };
}

/** SKUs that a take is made for: those of its pictures, or those that wear the metals it shows. */
export function skusOfTake({ take }: Pick<TakeWork, 'take'>): Sku[] {
  return [...new Set(take.metals ?? take.colourways.flatMap((c) => c.pictures.map((p) => p.sku)))];
}

/** A name that stays when a take's inputs change: its shot and the SKU it first serves. */
export function takeName({ take }: Pick<TakeWork, 'take'>): string {
  const sku = take.colourways[0].pictures[0]?.sku ?? take.metals?.[0];
  return `${take.shot.name} of ${sku}`;
}
