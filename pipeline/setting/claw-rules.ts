import { angleRound, type Phrase, phrase, type Words } from '../trade/bench-words.ts';
import {
  atLeast,
  atMost,
  type BenchRule,
  CAST_SOURCE,
  limitOf,
  PRODUCTION_SOURCE,
  type RowRule,
  type RuleFinding,
  type SetRule,
} from './bench-rule.ts';
import { between } from './between.ts';
import { clawBite, notchShare } from './claw-bite.ts';
import { type Claw, clawSections } from './claw-form.ts';
import { outsideGirdle, sharpCorners } from './girdle.ts';
import type { SeatedStone } from './place.ts';
import type { RowPlan } from './row-plan.ts';
import { alongRow, toBand, toStone } from './stone.ts';
import { distance } from './vec.ts';

/** [mean diameter of the stone, of the claw], mm; common practice. */
export const CLAW_DIAMETERS = [
  [1, 0.35],
  [1.5, 0.5],
  [2.5, 0.7],
  [4, 0.9],
  [6.5, 1],
] as const;

export const PRONG_SOURCE =
  'gia.edu/quality-assurance-benchmark/setting-round-center-stone-ring-platinum-prong; professionaljeweler.com/archives/articles/2004/jul04/0704pb1.html; professionaljeweler.com/archives/articles/2002/dec02/1202pb1.html';

const clawDiameter: SetRule = {
  rule: 'claw-diameter',
  severity: 'warning',
  source:
    'common practice: 0.35 mm from 1.0 mm stones, 0.5 from 1.5, 0.7 from 2.5, 0.9 from 4.0, 1.0 from 6.5',
  measureSet: (set, view) => {
    const { design, name } = set;
    const claws = pinsOf(set, set.whole.claws);
    if (claws.length === 0) return [];
    const usual = between(CLAW_DIAMETERS, (design.diameterMm + alongRow(design)) / 2);
    return [
      atLeast(limitOf(view, 'claw-diameter', usual), thinnest(claws), phrase('claws-of', { row: { name } })),
    ];
  },
};

const clawBiteRule: SetRule = {
  rule: 'claw-bite',
  severity: 'error',
  source: `notch at most 25 % of a shared claw a side: ${PRONG_SOURCE}; 40 % of a claw of one stone: common practice; least overhang 0.03 mm: common practice`,
  measureSet: (set, view) => {
    const { claws } = set.whole;
    if (claws.length === 0) return [];
    const { bite, where } = leastBite(set, claws, 'claws');
    const { share, theta, width } = deepestNotch(set, claws);
    const notched = phrase('claws-at', { row: { name: set.name }, at: angleRound(theta) });
    return [
      atLeast(limitOf(view, 'claw-bite', 0.03), bite, where),
      atMost(MOST_NOTCH[set.collar ? 'own' : 'shared'] * width, share * width, notched),
    ];
  },
};

/** Most of a claw's width that a stone may take away: of a shared one on either side, of one that holds a single stone. */
const MOST_NOTCH = { shared: 0.25, own: 0.4 };

/** The deepest notch that a girdle of a set makes in a claw, as a share of the claw's width there. */
function deepestNotch(set: RowPlan, claws: readonly Claw[]): { share: number; theta: number; width: number } {
  let deepest = { share: 0, theta: 0, width: thinnest(claws) };
  for (const place of set.places) {
    for (const claw of pinsAt(set, place, claws)) {
      const share = notchShare(claw, set.stone, place.frame);
      if (share > deepest.share) deepest = { share, theta: place.theta, width: 2 * claw.radius };
    }
  }
  return deepest;
}

/** Pins that stand at a stone of a set. */
export function pinsAt({ stone }: RowPlan, place: SeatedStone, pins: readonly Claw[]): Claw[] {
  return pins.filter(({ frame, radius }) => {
    const [x, y, z] = toStone(place.frame, frame.origin);
    return Math.abs(z) < radius && outsideGirdle(stone.girdle, x, y) < radius;
  });
}

/** Pins that hold stones of a set: in a graduated row those at its own. */
export function pinsOf(set: RowPlan, pins: readonly Claw[]): readonly Claw[] {
  if (!set.design.graduate) return pins;
  const near = pins.filter((pin) => set.places.some((place) => pinsAt(set, place, [pin]).length > 0));
  return near.length > 0 ? near : pins;
}

/** Diameter of the thinnest of some pins, mm. */
export const thinnest = (pins: readonly Claw[]) => 2 * Math.min(...pins.map(({ radius }) => radius));

/** The least overhang of pins over a set's girdles; none where a stone has fewer than four pins at it. */
export function leastBite(
  set: RowPlan,
  pins: readonly Claw[],
  what: 'claws' | 'grains',
): { bite: number; where: Phrase } {
  let worst = { bite: Number.POSITIVE_INFINITY, theta: 0 };
  for (const place of set.places) {
    const near = pinsAt(set, place, pins);
    const bites = near.map((pin) => clawBite(pin, set.stone, place.frame)).sort((a, b) => b - a);
    const bite = bites[3] ?? 0;
    if (bite < worst.bite) worst = { bite, theta: place.theta };
  }
  return {
    bite: worst.bite,
    where: phrase(`${what}-at`, { row: { name: set.name }, at: angleRound(worst.theta) }),
  };
}

const clawHeight: SetRule = {
  rule: 'claw-height',
  severity: 'info',
  source: `60–80 % of the height from girdle to table: ${PRONG_SOURCE}; as cast, before the setter trims it, up to the table: ${PRODUCTION_SOURCE}`,
  measureSet: (set, view) => {
    const { stone, name } = set;
    const claws = pinsOf(set, set.whole.claws);
    if (claws.length === 0) return [];
    const least = limitOf(view, 'claw-height', 0.6);
    const tips = claws.map(({ tip }) => tip);
    const ends = new Set([Math.min(...tips), Math.max(...tips)]);
    const place = phrase('claws-of', { row: { name } });
    return [...ends].map((tip) => heightFinding(tip / stone.tableHeight, least, place));
  },
};

const clawSink: RowRule = {
  rule: 'claw-sink',
  severity: 'warning',
  source: 'common practice: a claw stands its own diameter deep in the metal, at least half of it',
  measureRow: ({ claws, design, members }, view) => {
    if (claws.length === 0) return [];
    // claws of a head run down its cup into the band
    const onHead = design.setting.style === 'head';
    const surface = onHead ? claws[0].root : Math.min(...members.map(({ place }) => place.surface));
    const sink = surface - Math.max(...claws.map(({ foot }) => foot));
    const least = limitOf(view, 'claw-sink', 0.7) * 2 * Math.max(...claws.map(({ radius }) => radius));
    return [atLeast(least, sink, phrase('claws-of', { row: { name: design.name } }))];
  },
};

/** Narrower gaps fill with metal in casting and are sawn open at the bench: more work, and no stone is lost by it. */
const clawGap: RowRule = {
  rule: 'claw-gap',
  severity: 'info',
  source: `gaps from 0.2 mm: ${CAST_SOURCE}; another asks 0.4 mm: ${PRODUCTION_SOURCE}`,
  measureRow: ({ claws, design }, view) => {
    if (claws.length < 2) return [];
    const place = phrase('between-claws', { row: { name: design.name } });
    return [atLeast(limitOf(view, 'claw-gap', 0.2), leastClawGap(claws), place)];
  },
};

/** Air between the two claws that stand closest, mm; measured from section to section, as if each were round. */
function leastClawGap(claws: readonly Claw[]): number {
  const all = claws.map((claw) => ({
    claw,
    rounds: clawSections(claw).map(({ h, along, across, shift }) => ({
      middle: toBand(claw.frame, [0, shift, h]),
      radius: Math.max(along, across),
    })),
  }));
  let least = Number.POSITIVE_INFINITY;
  all.forEach(({ claw, rounds }, i) => {
    for (const other of all.slice(i + 1)) {
      const apart = distance(claw.frame.origin, other.claw.frame.origin) - claw.radius - other.claw.radius;
      // leaning and bent they come nearer to each other by less than they are high
      if (apart - claw.tip - other.claw.tip - claw.bend - other.claw.bend > least) continue;
      for (const [k, one] of rounds.entries()) {
        const { middle, radius } = other.rounds[k];
        least = Math.min(least, distance(one.middle, middle) - one.radius - radius);
      }
    }
  });
  return least;
}

/** Corners and points chip: a claw should cover each, nearer than its own width. */
const guardedPoints: SetRule = {
  rule: 'guarded-points',
  severity: 'warning',
  source: 'common practice: corners of princess cuts and baguettes and points of marquises are covered',
  measureSet: ({ whole: { claws, grain, channel }, places, stone, name }) => {
    const points = sharpCorners(stone.girdle);
    if (points.length === 0 || channel) return [];
    const pins = [...claws, ...(grain?.grains ?? [])];
    const bare = points.filter(([x, y]) => {
      const point = toBand(places[0].frame, [x, y, 0]);
      return !pins.some(({ frame, radius }) => distance(frame.origin, point) < 2 * radius);
    });
    return [
      {
        passed: bare.length === 0,
        limit: phrase('corners-covered'),
        measured: phrase('corners-bare', {
          bare: { name: String(bare.length) },
          all: { name: String(points.length) },
        }),
        place: phrase('row', { row: { name } }),
        margin: -bare.length,
      },
    ];
  },
};

/** Most of the height from girdle to table that sources give a finished claw: above it catches, and wears first. */
const HIGHEST_PIN = 0.8;

/** Height of pins as a share of that from girdle to table. */
export function heightFinding(share: number, least: number, place: Words): RuleFinding {
  const most = Math.max(HIGHEST_PIN, least);
  const limit = phrase('height-share', { from: { share: least, digits: 0 }, to: { share: most, digits: 0 } });
  const passed = share >= least - 1e-9 && share <= most + 1e-9;
  return {
    passed,
    limit,
    measured: { share, digits: 0 },
    place,
    margin: Math.min(share - least, most - share),
  };
}

export const CLAW_RULES: readonly BenchRule[] = [
  clawDiameter,
  clawBiteRule,
  clawHeight,
  clawSink,
  clawGap,
  guardedPoints,
];
