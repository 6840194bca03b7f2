/** What pages are told of a plan that could be read. */
import { distinctBands } from '../artefacts/bands.ts';
import type { BandSource } from '../plan/band-source.ts';
import type { Plan } from '../plan/plan.ts';
import { bandsOfPair } from '../plan/variant.ts';
import type { Problem } from '../problem.ts';
import { localeOf } from '../words/locale.ts';
import type { LookFile, LookState } from './contract.ts';
import type { Studios } from './studios.ts';
import { shotsOf } from './views.ts';

/** A plan that could be read, and what was read with it. */
export interface Good {
  plan: Plan;
  /** where each band's values stand */
  sources: ReadonlyMap<string, BandSource>;
  warnings: Problem[];
  studios: Studios;
}

/** What a state tells of the last plan that could be read; nothing to choose where there is none yet. */
export function toldOf(
  good: Good | undefined,
): Omit<LookState, 'version' | 'readOnly' | 'files' | 'problems'> {
  return {
    title: good?.plan.title ?? '',
    language: good?.plan.language ?? 'en',
    tag: good ? localeOf(good.plan.language, good.plan.market).tag : 'en-GB',
    warnings: good?.warnings ?? [],
    axes: (good?.plan.axes ?? []).map(({ name, values }) => ({ name, values: values.map((v) => v.label) })),
    bands: good ? distinctBands(good.plan).map(({ sku, axes }) => ({ sku, axes })) : [],
    pairs: (good?.plan.pairs ?? []).map((pair) => ({
      sku: pair.sku,
      bands: bandsOfPair(pair).map(({ sku }) => sku),
    })),
    shots: good ? shotsOf(good.plan) : [],
    studios: [...(good?.studios.names ?? [])],
  };
}

/** The files of which pages are told, by the hashes of their texts. */
export function yamlFiles(texts: ReadonlyMap<string, string>): LookFile[] {
  return [...texts]
    .filter(([file]) => /\.ya?ml$/i.test(file))
    .map(([file, revision]) => ({ file, revision }));
}
