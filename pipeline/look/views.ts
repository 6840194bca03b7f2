/** What a page may choose of a plan, and what comes of a choice. */

import { distinctBands } from '../artefacts/bands.ts';
import { takeLooks } from '../artefacts/film.ts';
import type { Pair, Plan, ShotName, ShotPlan, TakeId, TakePlan, Variant } from '../plan/plan.ts';
import type { StudioPlan } from '../plan/studio.ts';
import { mattersOf } from '../plan/takes.ts';
import { bandsOfPair } from '../plan/variant.ts';
import { STONES } from '../trade/stones.ts';
import type { LookState, LookView, ViewChoice } from './contract.ts';

/** Views of a single band, which are offered whether or not the config has a shot of them. */
const SINGLE: ShotName[] = ['three-quarter', 'front', 'flat-lay', 'profile', 'macro', 'inside'];
/** Bytes of films a page may hold; with more colourways the one that is shown is traced alone. */
const MOST_BYTES = 400e6;
const BYTES_PER_PIXEL = 17;

/** The config's shots, a turntable's first frame alone, and the other views with the first shot's light and frame. */
export function lookShots({ shots, pairs }: Pick<Plan, 'shots' | 'pairs'>): ShotPlan[] {
  const own = shots.filter(({ turn }) => !turn || turn.frame === 1);
  const [first] = shots;
  const missing = [...SINGLE, ...(pairs.length > 0 ? (['pair'] as const) : [])].filter(
    (view) => !own.some((s) => s.view === view || s.name === view),
  );
  const { turn: _, aperture: __, scale: ___, ...plain } = first;
  return [...own, ...missing.map((view) => ({ ...plain, name: view, view }))];
}

/** The bands of a SKU: one, or all of a pair. */
export function shownBands(plan: Plan, sku: string): { bands: Variant[]; pair?: Pair } | undefined {
  const pair = plan.pairs.find((p) => p.sku === sku);
  if (pair) return { bands: bandsOfPair(pair), pair };
  const band = distinctBands(plan).find((b) => b.sku === sku);
  return band && { bands: [band] };
}

/**
 * What is traced for a choice: the take that `make` would trace, with all its colourways, so that the films are the
 * same bits. A shot that the config doesn't take of this band has a take of its own.
 * @param studio in place of the shot's
 */
export function lookView(
  plan: Plan,
  choice: ViewChoice,
  studio: StudioPlan | undefined,
): Omit<LookView, 'version'> | undefined {
  const found = shownBands(plan, choice.sku);
  const shot = lookShots(plan).find(({ name }) => name === choice.shot);
  if (!found || !shot || (shot.view === 'pair') !== (found.pair !== undefined)) return undefined;
  const { take, colourway, own } = takeOf(plan, choice, shot, found);
  const lit: ShotPlan = studio && choice.studio ? { ...take.shot, lights: choice.studio, studio } : take.shot;
  const looks = takeLooks(take);
  return {
    choice,
    shapes: take.shapes,
    shot: lit,
    looks,
    colourway,
    quality: plan.quality,
    asMade: own && lit === take.shot,
    ...(lit.studio.sky ? { sky: lit.studio.sky.hash } : {}),
  };
}

function takeOf(
  plan: Plan,
  { sku }: ViewChoice,
  shot: ShotPlan,
  { bands, pair }: { bands: Variant[]; pair?: Pair },
): { take: TakePlan; colourway: number; own: boolean } {
  const shows = (take: TakePlan) =>
    take.metals ? -1 : take.colourways.findIndex((c) => c.pictures.some((p) => p.sku === sku));
  const takes = plan.takes.filter((take) => (take.shot.view === 'pair') === (pair !== undefined));
  const made = takes.find((take) => take.shot.name === shot.name && shows(take) >= 0);
  const alike = made ?? takes.find((take) => shows(take) >= 0);
  const bytes = (take: TakePlan) => take.colourways.length * shot.widthPx * shot.heightPx * BYTES_PER_PIXEL;
  const turned = pair?.laid ? { ...shot, laid: pair.laid } : shot;
  if (alike && bytes(alike) <= MOST_BYTES) {
    const take = made ?? { ...alike, shot: turned };
    return { take, colourway: shows(alike), own: made !== undefined };
  }
  const alone: TakePlan = {
    id: 'look' as TakeId,
    shot: turned,
    shapes: bands.map((b) => b.shape),
    finishes: bands.map((b) => b.dress.finishes),
    optics: bands.map((b) => b.dress.stones.map((id) => STONES.get(id)?.optics ?? id)),
    colourways: [{ dresses: bands.map((b) => b.dress), pictures: [] }],
    ...mattersOf(bands.map((b) => b.dress)),
  };
  return { take: alone, colourway: 0, own: false };
}

/** All that can be looked at, and which of it the config asks for. */
export function shotsOf(plan: Plan): LookState['shots'] {
  const own = new Set(plan.shots.map(({ name }) => name));
  return lookShots(plan).map(({ name, view, lights }) => ({ name, view, lights, own: own.has(name) }));
}
