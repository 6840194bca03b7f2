import type { ArtefactStore } from '../store/artefact-store.ts';
import type { UsdWork } from './own-models.ts';
import { type Quarantine, quarantineOf, quarantineWording } from './quarantine.ts';
import type { ModelWork, PartWork, TakeInputs, TakeWork, Work } from './work.ts';

/** What is in the store and what is still to do, with the reason. */
export interface TakeStatus {
  work: TakeWork;
  /** films of some colourways are missing: the take has to be traced */
  trace: boolean;
  /** indices into `work.pictures` whose files are missing */
  encode: number[];
  /** why there is something to do; empty if nothing is */
  reason: string;
  /** it failed too often and is left alone */
  quarantine?: Quarantine;
}

export interface Survey {
  takes: TakeStatus[];
  /** shapes whose facts are missing */
  shapes: string[];
  models: ModelWork[];
  parts: PartWork[];
  usd: UsdWork[];
}

/** What each take's inputs were when it was last traced, kept beside the store by catalogue. */
export type LastInputs = Record<string, TakeInputs>;

const MEANING: Record<keyof TakeInputs, string> = {
  solids: 'shape',
  shot: 'shot, lights or frame',
  finishes: 'finish or stone optics',
  colours: 'colourways',
  quality: 'quality',
  engine: 'tracer version',
};

export async function surveyWork(work: Work, store: ArtefactStore, last: LastInputs): Promise<Survey> {
  const takes = await Promise.all(work.takes.map((t) => takeStatus(t, store, last)));
  const missing = async (layer: 'solid' | 'model' | 'part', key: string) => !(await store.has(layer, key));
  const shapes: string[] = [];
  for (const [shape, key] of Object.entries(work.solids)) if (await missing('solid', key)) shapes.push(shape);
  const models: ModelWork[] = [];
  for (const model of work.models) if (await missing('model', model.key)) models.push(model);
  const parts: PartWork[] = [];
  for (const part of work.parts) if (await missing('part', part.key)) parts.push(part);
  const usd: UsdWork[] = [];
  for (const meshes of work.usd) if (await missing('model', meshes.key)) usd.push(meshes);
  return { takes, shapes, models, parts, usd };
}

async function takeStatus(work: TakeWork, store: ArtefactStore, last: LastInputs): Promise<TakeStatus> {
  const shared = work.matte ? [work.record, work.matte] : [work.record];
  const films = await Promise.all(work.films.map((key) => store.has('film', key)));
  const whole = (await Promise.all(shared.map((key) => store.has('film', key)))).every(Boolean);
  const pictures = await Promise.all(work.pictures.map(({ key }) => store.has('picture', key)));
  const encode = pictures.flatMap((found, i) => (found ? [] : [i]));
  const trace = encode.some((i) => !films[work.pictures[i].colourway]) || !whole;
  let reason = '';
  const quarantine = trace ? await quarantineOf(store, work) : undefined;
  if (quarantine) reason = quarantineWording(quarantine);
  else if (trace) reason = traceReason(work, last[takeName(work)]);
  else if (encode.length > 0)
    reason = 'picture files are missing or outputs, watermark, words or encoder changed; no tracing';
  return { work, trace, encode: trace ? work.pictures.map((_, i) => i) : encode, reason, quarantine };
}

/** A name that stays when a take's inputs change: its shot and the SKU it first serves. */
export function takeName(work: TakeWork): string {
  const sku = work.take.colourways[0].pictures[0]?.sku ?? work.take.metals?.[0];
  return `${work.take.shot.name} of ${sku}`;
}

function traceReason(work: TakeWork, before: TakeInputs | undefined): string {
  if (!before) return 'not traced before';
  const changed = (Object.keys(MEANING) as (keyof TakeInputs)[]).filter((k) => before[k] !== work.inputs[k]);
  if (changed.length === 0) return 'its films are no longer in the store';
  return `changed: ${changed.map((k) => MEANING[k]).join(', ')}`;
}
