import type { SettingDesign, SettingOf } from '../plan/setting-design.ts';
import { isRefused, type Result, sortResults } from '../problem.ts';
import { type Channel, planChannel } from './channel.ts';
import { planClaws } from './claw.ts';
import type { Claw } from './claw-form.ts';
import { type Collar, planBezel, planHeads } from './collar.ts';
import { type Flush, planFlush } from './flush.ts';
import { type GrainField, planGrain } from './grain.ts';
import type { PlacedRow } from './stone-set.ts';

/** What holds the stones of a row. */
export interface Holding {
  claws: Claw[];
  /** of a row between two walls */
  channel?: Channel;
  /** of grain-set stones */
  grain?: GrainField;
  /** of stones level with the metal, for each set of the row */
  flush?: Flush[];
  /** of stones raised over the band, for each set of the row */
  collars?: Collar[];
}

/** What each style of setting makes of a placed row. */
const STYLES: {
  [S in SettingDesign['style']]: (row: PlacedRow, setting: SettingOf<S>, path: string) => Result<Holding>;
} = {
  'shared-claws': ({ design, lane, places }, setting, path) => {
    const claws = planClaws(design, setting, path, lane, places);
    return isRefused(claws) ? claws : { claws };
  },
  channel: ({ design, lane, places, members }, setting, path) => {
    const between = members.map(({ set, place }) => ({ ...place, stone: set.stone, seat: set.seat }));
    const channel = planChannel(design, setting, path, lane, between, places.closed);
    return isRefused(channel) ? channel : { claws: [], channel };
  },
  flush: ({ places, sets }, setting, path) => {
    const planned = sets.map((set) => planFlush(set, setting, path, places.gapMm));
    const { made: flush, problems } = sortResults(planned);
    return problems.length > 0 ? { problems } : { claws: [], flush };
  },
  grain: ({ design, lane, places }, setting, path) => {
    const grain = planGrain(design, setting, path, lane, places);
    return isRefused(grain) ? grain : { claws: [], grain };
  },
  bezel: ({ places, sets }, setting, path) => {
    const { made: collars, problems } = sortResults(
      sets.map((set) => planBezel(set, setting, path, places.gapMm)),
    );
    return problems.length > 0 ? { problems } : { claws: [], collars };
  },
  head: ({ places, sets }, setting, path) => {
    const { made, problems } = sortResults(sets.map((set) => planHeads(set, setting, path, places.gapMm)));
    if (problems.length > 0) return { problems };
    return { claws: made.flatMap(({ claws }) => claws), collars: made.map(({ collar }) => collar) };
  },
  none: () => ({ claws: [] }),
};

/** Works out what holds a row's stones, or what forbids it. */
export function planHolding(row: PlacedRow, path: string): Result<Holding> {
  const { setting } = row.design;
  // what a style is given is always a setting of that style, which the type cannot say
  const plan = STYLES[setting.style] as (
    row: PlacedRow,
    setting: SettingDesign,
    path: string,
  ) => Result<Holding>;
  return plan(row, setting, path);
}
