import type { BenchCheck } from '../band/built-shape.ts';
import { graduation, type RowDesign, type ShapeDesign, type StoneSort, sortsOf } from '../plan/design.ts';
import type { Dress } from '../plan/plan.ts';
import { between } from '../setting/between.ts';
import { CLAW_DIAMETERS } from '../setting/claw-rules.ts';
import { slotsOf } from '../setting/row-plan.ts';
import {
  BLACK_OXIDE,
  CARE_SOURCE,
  HARD_METALS,
  SOFT_ALLOYS,
  SOFT_CLAW_SHARE,
  STONE_CARE,
  type StoneCare,
} from '../trade/bench-care.ts';
import { inEnglish, phrase, type Words } from '../trade/bench-words.ts';
import { EMERGENCY_SOURCE } from '../trade/ring-removal.ts';
import type { DressFinding, DressRule, DressView } from './dress-rule.ts';
import { MATERIAL_RULES } from './material-checks.ts';

/** What alloys and stones of a band bring with them at the bench and on the finger. */
export function dressChecks(
  design: ShapeDesign,
  dress: Dress,
  names: { alloy(id: string): string; stone(slot: number): string },
): BenchCheck[] {
  const view: DressView = {
    design,
    dress,
    alloy: (id) => ({ name: names.alloy(id) }),
    stone: (slot) => ({ name: names.stone(slot) }),
  };
  return DRESS_RULES.flatMap(({ rule, source, measure, ...usual }) =>
    measure(view).map(({ passed, severity = usual.severity, ...told }) => ({
      rule,
      severity,
      passed,
      limit: inEnglish(told.limit),
      measured: inEnglish(told.measured),
      place: inEnglish(told.place),
      source,
      told,
    })),
  );
}

interface SetSort {
  row: RowDesign;
  sort: StoneSort;
  slot: number;
}

function sortsSet({ rows }: ShapeDesign): SetSort[] {
  const slots = slotsOf(rows);
  return rows.flatMap((row, i) => sortsOf(row).map((sort, k) => ({ row, sort, slot: slots[i] + k })));
}

const rowPlace = (row: { name: string }) => phrase('row', { row: { name: row.name } });

/** Metal is hammered, burnished or raised onto the stone itself. */
const PRESSED: ReadonlySet<string> = new Set(['channel', 'flush', 'grain', 'bezel']);

const stoneCare: DressRule = {
  rule: 'stone-care',
  severity: 'info',
  source: CARE_SOURCE,
  measure: (view) =>
    sortsSet(view.design).flatMap((set) => {
      const care = STONE_CARE.get(view.dress.stones[set.slot]);
      return care ? careOf(set, care, view.stone(set.slot)) : [];
    }),
};

function careOf({ row, sort }: SetSort, care: StoneCare, stone: Words): DressFinding[] {
  const found: DressFinding[] = [];
  const note = (limit: Words, measured: Words, severity: BenchCheck['severity'] = 'info') =>
    found.push({ passed: false, severity, limit, measured, place: rowPlace(sort) });
  if (PRESSED.has(row.setting.style) && care.brittle)
    note(phrase('tough-stones'), phrase('stone-brittle', { stone }), 'warning');
  if (
    row.setting.style !== 'channel' &&
    care.cleavable &&
    sort.cut !== 'round-brilliant' &&
    sort.cut !== 'single-cut'
  )
    note(phrase('corners-gently'), phrase('stone-cleaves', { stone }));
  if (care.heatShy)
    note(phrase('set-after-heat'), phrase(care.oiled ? 'stone-oiled' : 'stone-heat-shy', { stone }));
  return found;
}

function laneAlloy({ design, dress }: DressView, { lane }: RowDesign): string {
  return dress.alloys[design.lanes.findIndex(({ name }) => name === lane)];
}

const HELD_BY = {
  'shared-claws': 'claws-of',
  head: 'claws-of',
  grain: 'grains-of',
  bezel: 'collars-of',
} as const;

const clawMetal: DressRule = {
  rule: 'claw-metal',
  severity: 'error',
  source:
    'nothing can be soldered on, only taken off: ti-designs.com/design.html; titanium resists soldering: jewellersreviews.com/?p=8526; claws spring back or crack: common practice',
  measure: (view) =>
    view.design.rows.flatMap((row) => {
      const { style } = row.setting;
      if (style === 'none' || style === 'channel' || style === 'flush') return [];
      const alloy = laneAlloy(view, row);
      if (!HARD_METALS.has(alloy)) return [];
      return [
        {
          passed: false,
          limit: phrase('metal-that-bends'),
          measured: view.alloy(alloy),
          place: phrase(HELD_BY[style], { row: { name: row.name } }),
        },
      ];
    }),
};

const softClaws: DressRule = {
  rule: 'soft-claws',
  severity: 'warning',
  source:
    'common practice: claws of sterling silver and 22 ct gold 1.2 times as thick as the usual 0.35 mm at 1.0 mm stones to 1.0 mm at 6.5 mm',
  measure: (view) =>
    sortsSet(view.design).flatMap(({ row, sort }) => {
      const alloy = laneAlloy(view, row);
      if (!('clawDiameterMm' in row.setting) || !SOFT_ALLOYS.has(alloy)) return [];
      const mean = (sort.diameterMm + (sort.lengthMm ?? sort.diameterMm)) / 2;
      // claws of a graduated row follow its stones, and smaller stones ask for relatively thicker ones
      const sizes = row.setting.style === 'shared-claws' ? graduation(row) : [row.diameterMm];
      const smallest = Math.min(...sizes) / row.diameterMm;
      const least = SOFT_CLAW_SHARE * between(CLAW_DIAMETERS, mean * smallest);
      const clawDiameterMm = row.setting.clawDiameterMm * smallest;
      return [
        {
          passed: clawDiameterMm >= least - 1e-9,
          limit: phrase('at-least', { limit: { mm: least } }),
          measured: { mm: clawDiameterMm },
          place: phrase('soft-claws-of', { row: { name: sort.name }, metal: view.alloy(alloy) }),
        },
      ];
    }),
};

const oxideCut: DressRule = {
  rule: 'oxide-cut',
  severity: 'warning',
  source:
    'common practice: seats, letters and grooves cut after blackening show grey metal; the oxide is a skin: brainreed000.articlealley.com/what-is-black-zirconium-1881379.html',
  measure: ({ design, dress }) => {
    const black = (lane: string | undefined) =>
      dress.alloys[design.lanes.findIndex(({ name }) => name === lane)] === BLACK_OXIDE;
    const cuts: Words[] = design.rows.filter(({ lane }) => black(lane)).map(rowPlace);
    const letters = design.engraving?.outside?.lane;
    if (letters && black(letters)) cuts.push(phrase('outside-engraving', { lane: { name: letters } }));
    design.seams.forEach(({ marks }, i) => {
      const beside = [design.lanes[i].name, design.lanes[i + 1].name];
      if (marks?.groove && beside.some(black)) cuts.push(phrase('groove-of', { seam: { name: marks.seam } }));
    });
    return cuts.map((place) => ({
      passed: false,
      limit: phrase('cut-before-black'),
      measured: phrase('oxide-cut'),
      place,
    }));
  },
};

/** Neighbouring lanes of which one cannot be soldered: inlays are held by their channel, others by nothing. */
const metalJoint: DressRule = {
  rule: 'metal-joint',
  severity: 'warning',
  source:
    'titanium resists soldering: jewellersreviews.com/?p=8526; inlays pressed into an undercut channel: common practice',
  measure: (view) => {
    const { design, dress } = view;
    return design.lanes.slice(1).flatMap((lane, i): DressFinding[] => {
      const pair = [dress.alloys[i], dress.alloys[i + 1]];
      if (pair[0] === pair[1] || !pair.some((id) => HARD_METALS.has(id))) return [];
      const inlaid = design.lanes[i].inlay !== undefined || lane.inlay !== undefined;
      return [
        {
          passed: false,
          severity: inlaid ? 'info' : 'warning',
          limit: phrase(inlaid ? 'pressed-in' : 'soldered-joint'),
          measured: phrase('metals-beside', { one: view.alloy(pair[0]), other: view.alloy(pair[1]) }),
          place: phrase('joint-of', { one: { name: design.lanes[i].name }, other: { name: lane.name } }),
        },
      ];
    });
  },
};

const emergencyMetal: DressRule = {
  rule: 'emergency-metal',
  severity: 'info',
  source: `${EMERGENCY_SOURCE}; tantalum and zirconium: common practice`,
  measure: (view) =>
    [...new Set(view.dress.alloys)]
      .filter((alloy) => HARD_METALS.has(alloy))
      .map((alloy) => ({
        passed: false,
        limit: phrase('ring-cutter'),
        measured: view.alloy(alloy),
        place: phrase('emergency'),
      })),
};

export const DRESS_RULES: readonly DressRule[] = [
  stoneCare,
  clawMetal,
  softClaws,
  oxideCut,
  metalJoint,
  emergencyMetal,
  ...MATERIAL_RULES,
];
