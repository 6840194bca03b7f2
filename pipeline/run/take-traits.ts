import type { ShotName } from '../plan/plan.ts';
import type { GroundPlan } from '../plan/studio.ts';

/** Metal without stones is smooth (`none`) or `worked`: hammered or cut in relief. */
export type StonesSeen = 'none' | 'worked' | 'round' | 'cornered';

export const isBare = (stones: StonesSeen): boolean => stones === 'none' || stones === 'worked';

/** What decides how much of a take a tile and a path ask for, as far as the plan shows it. */
export interface TakeTraits {
  view: ShotName;
  ground: GroundPlan['kind'];
  stones: StonesSeen;
}

/** By equal shares of the tiles, the quietest first: variance of one sample, and what a path takes in one colourway. */
export interface TileDemand {
  variance: readonly number[];
  microseconds: readonly number[];
}

/** Against white ground: of a path's time, and of the variance. */
export interface GroundRatios {
  pace: number;
  demand: number;
}

export type ViewDemand = Record<Exclude<ShotName, 'turntable'>, Record<StonesSeen, TileDemand>>;
/** Whether a view shows the band with the ground that it stands on, or is so near that hardly any ground is in sight. */
export type Distance = 'whole' | 'near';

export const distanceOf = (view: ShotName): Distance =>
  view === 'macro' || view === 'inside' ? 'near' : 'whole';

export type GroundDemand = Record<
  Exclude<GroundPlan['kind'], 'white'>,
  Record<Distance, Record<StonesSeen, GroundRatios>>
>;
