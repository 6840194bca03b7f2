import type { ArtefactLayer } from '../store/artefact-store.ts';
import type { Work } from './work.ts';

/** An artefact's place in the store: `layer/key`. */
export type ArtefactName = `${ArtefactLayer}/${string}`;

/** Everything of the store that a plan's catalogue is made from, bench sheets excepted: their keys follow from facts. */
export function artefactsOf(work: Work): ArtefactName[] {
  const names = new Set<ArtefactName>();
  for (const key of Object.values(work.solids)) names.add(`solid/${key}`);
  for (const take of work.takes) {
    for (const key of [take.record, ...take.films, ...(take.matte ? [take.matte] : [])])
      names.add(`film/${key}`);
    for (const { key } of take.pictures) names.add(`picture/${key}`);
    names.add(`fault/${take.record}`);
  }
  for (const { key } of [...work.swatches, ...work.comparisons]) names.add(`picture/${key}`);
  for (const { key, viewerKey } of work.models) {
    names.add(`model/${key}`);
    if (viewerKey) names.add(`model/${viewerKey}`);
  }
  for (const { key } of [...work.usd, ...work.ownModels]) names.add(`model/${key}`);
  for (const { key } of work.parts) names.add(`part/${key}`);
  return [...names];
}
