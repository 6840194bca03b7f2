import { lanesOf } from '../band/lane.ts';
import { thinnestSide } from '../setting/lane-rules.ts';
import { ENAMELS, MATERIAL_CARE } from '../trade/bench-care.ts';
import { phrase } from '../trade/bench-words.ts';
import type { DressFinding, DressRule, DressView } from './dress-rule.ts';

/** Alloys of a band, each once. */
const worn = ({ dress }: DressView) => [...new Set(dress.alloys)];

/** What can be done to gold and not to these: told to bench and buyer before the ring is ordered. */
const materialCare: DressRule = {
  rule: 'material-care',
  severity: 'info',
  source:
    'common practice: no solder takes on titanium, tantalum and zirconium; carbide and ceramic are sintered and ground, resin softens from about 120 °C, enamel is fired at about 800 °C after all soldering, wood swells and splits, a joint cuts through a pattern of layers',
  measure: (view) =>
    worn(view).flatMap((id): DressFinding[] => {
      const care = MATERIAL_CARE.get(id);
      const forbids = [
        ...(care?.resizing ? [`size-${care.resizing}` as const] : []),
        ...(care?.forbids ?? []),
      ];
      if (forbids.length === 0) return [];
      return [
        {
          passed: false,
          limit: phrase('ordinary-bench'),
          measured: phrase('material-forbids', {
            metal: view.alloy(id),
            forbids: forbids.map((each) => phrase(each)),
          }),
          place: phrase('lanes-of', { lanes: lanesIn(view, id).map((name) => ({ name })) }),
        },
      ];
    }),
};

const lanesIn = ({ design, dress }: DressView, id: string) =>
  design.lanes.flatMap(({ name }, i) => (dress.alloys[i] === id ? [name] : []));

/** What breaks instead of bending is left thick where it carries itself; an inlay is carried by its bed. */
const brittleWall: DressRule = {
  rule: 'brittle-wall',
  severity: 'warning',
  source:
    'common practice: rings of carbide and ceramic from 1.5 mm of wall, of wood alone from 2 mm, from memory',
  measure: (view) => {
    const { design, dress } = view;
    const brittle = (i: number) => MATERIAL_CARE.get(dress.alloys[i])?.brittleBelowMm;
    if (!design.lanes.some((lane, i) => brittle(i) && !lane.inlay)) return [];
    return lanesOf(design).flatMap((lane): DressFinding[] => {
      const least = brittle(lane.index);
      if (least === undefined || lane.inlaid) return [];
      const wall = thinnestSide(lane);
      return [
        {
          passed: wall >= least - 1e-9,
          limit: phrase('at-least', { limit: { mm: least } }),
          measured: { mm: wall },
          place: phrase('lane-sides', { lane: { name: lane.name } }),
        },
      ];
    });
  },
};

/** A plating is a skin: how thick it is made, and that it goes. */
const platingWear: DressRule = {
  rule: 'plating-wear',
  severity: 'info',
  source:
    'common practice: rhodium on jewellery is 0.2 to 0.5 µm thick, gold on silver 2.5 to 5 µm; both are renewed every few years, palms wear first',
  measure: (view) =>
    worn(view).flatMap((id): DressFinding[] => {
      const plating = MATERIAL_CARE.get(id)?.plating;
      if (!plating) return [];
      const [from, to] = plating;
      return [
        {
          passed: false,
          limit: phrase('plating-lasts'),
          measured: phrase('plating-thick', { from: { micrometres: from }, to: { micrometres: to } }),
          place: view.alloy(id),
        },
      ];
    }),
};

/** Enamel is glass melted into metal: it holds nothing together. */
const enamelBed: DressRule = {
  rule: 'enamel-bed',
  severity: 'error',
  source: 'common practice: enamel lies in a cell of metal, from 0.3 mm deep, and carries nothing',
  measure: (view) =>
    view.design.lanes.flatMap((lane, i): DressFinding[] => {
      if (!ENAMELS.includes(view.dress.alloys[i])) return [];
      return [
        {
          passed: lane.inlay !== undefined,
          limit: phrase('enamel-let-in'),
          measured: phrase(lane.inlay ? 'enamel-let-in' : 'stands-alone'),
          place: phrase('lanes-of', { lanes: { name: lane.name } }),
        },
      ];
    }),
};

export const MATERIAL_RULES: readonly DressRule[] = [materialCare, brittleWall, platingWear, enamelBed];
