import { canonicalJson } from '../store/canonical-json.ts';
import { contentKey } from '../store/content-key.ts';
import { ALLOYS } from '../trade/alloys.ts';
import { matterOf } from '../trade/matter.ts';
import { STONES } from '../trade/stones.ts';
import type {
  ColourwayPlan,
  Dress,
  Pair,
  ShotPlan,
  Sku,
  TakeId,
  TakePlan,
  TouchingPair,
  Variant,
} from './plan.ts';
import { bandsOfPair } from './variant.ts';

/** Most colourways of one take: as many as the kernel has room for beside a ray. */
export const MOST_COLOURWAYS = 256;
/**
 * Most bytes of a take's sums. They lie in one block of shared memory, and Chromium gives none above 2.145 GB (143, 64 bits,
 * whatever the machine has); the rest is room on a machine of 4 GB.
 */
const MOST_BYTES = 1.5e9;
/** Of a take's sums, for each pixel of each film: 16 and the rows' variances. */
const BYTES_PER_PIXEL = 16.6;

/** What one picture shows. */
interface TakenItem {
  sku: Sku;
  bands: Variant[];
  laid?: TouchingPair;
}

function opticsOf(band: Variant): string[] {
  return band.dress.stones.map((id) => STONES.get(id)?.optics ?? id);
}

/** What the lanes of dresses are made of; nothing where all are metal all through. */
export function mattersOf(dresses: readonly Dress[]): Pick<TakePlan, 'matters'> {
  const matters = dresses.map(({ alloys, patterns }) =>
    alloys.map((id, i) => {
      const row = ALLOYS.get(id);
      return row ? matterOf(row, patterns?.[i]) : null;
    }),
  );
  return matters.flat().some(Boolean) ? { matters } : {};
}

/** The id of what is taken of a shot along paths that `decides` them. */
export function takeId(shot: ShotPlan, decides: unknown): TakeId {
  return `${shot.name}/${contentKey(decides)}` as TakeId;
}

/** Groups pictures into takes: everything that decides paths apart, everything that is mere colour together. */
class TakeTable {
  private readonly takes = new Map<string, TakePlan>();
  private readonly colourways = new Map<string, ColourwayPlan>();

  add(shot: ShotPlan, subject: TakenItem): void {
    const paths = {
      shot: subject.laid ? { ...shot, laid: subject.laid } : shot,
      shapes: subject.bands.map((b) => b.shape),
      finishes: subject.bands.map((b) => b.dress.finishes),
      optics: subject.bands.map(opticsOf),
      ...mattersOf(subject.bands.map((b) => b.dress)),
    };
    // shots have names of their own: a hash of all of a shot for every picture would be most of a plan's time
    const { shapes, finishes, optics, matters } = paths;
    const alike = JSON.stringify([shot.name, subject.laid ?? '', shapes, finishes, optics, matters]);
    let take = this.takes.get(alike);
    if (!take) {
      take = { id: takeId(shot, paths), ...paths, colourways: [] };
      this.takes.set(alike, take);
    }
    const dresses = subject.bands.map((b) => b.dress);
    const key = `${alike} ${canonicalJson(dresses)}`;
    let colourway = this.colourways.get(key);
    if (!colourway) {
      colourway = { dresses, pictures: [] };
      this.colourways.set(key, colourway);
      take.colourways.push(colourway);
    }
    colourway.pictures.push({ sku: subject.sku, shot: shot.name });
  }

  list(): TakePlan[] {
    return [...this.takes.values()].flatMap(inParts);
  }
}

/**
 * A take with more colourways than one tracing run can hold, as several of about equal size. Within a part all share their
 * paths; parts have the same paths too, but each its own end: roulette and stop rule look at the colourways that are there.
 */
function inParts(take: TakePlan): TakePlan[] {
  const { colourways, shot } = take;
  const films = Math.floor(MOST_BYTES / (shot.widthPx * shot.heightPx * BYTES_PER_PIXEL));
  const matte = shot.ground.kind === 'clear' ? 1 : 0;
  const most = Math.min(MOST_COLOURWAYS, Math.max(1, films - matte));
  const of = Math.ceil(colourways.length / most);
  if (of === 1) return [take];
  const bound = (part: number) => Math.round((part * colourways.length) / of);
  return Array.from({ length: of }, (_, i) => ({
    ...take,
    id: `${take.id}-${i + 1}-of-${of}` as TakeId,
    colourways: colourways.slice(bound(i), bound(i + 1)),
    part: { number: i + 1, of },
  }));
}

/**
 * Pair shots show pairs; all other shots show every variant alone. `wanted` leaves out what a shot is not taken of; of
 * a pair it is asked about the left band.
 */
export function planTakes(
  shots: readonly ShotPlan[],
  variants: readonly Variant[],
  pairs: readonly Pair[],
  wanted: (shot: ShotPlan, variant: Variant) => boolean = () => true,
): TakePlan[] {
  const table = new TakeTable();
  const alone = variants.map((v): TakenItem => ({ sku: v.sku, bands: [v] }));
  const together = pairs.map((p): TakenItem => ({ sku: p.sku, bands: bandsOfPair(p), laid: p.laid }));
  for (const shot of shots)
    for (const subject of shot.view === 'pair' ? together : alone)
      if (wanted(shot, subject.bands[0])) table.add(shot, subject);
  return table.list();
}
