import { CUTS } from '../trade/cuts.ts';
import { type RowDesign, type StoneSort, sortsOf } from './design.ts';
import { settingAsks, settingDesign } from './setting-kinds.ts';
import type { Template } from './template-schema.ts';

export type RowTemplate = Template['rows'][string];

export const styleOf = ({ setting }: RowTemplate) => (setting === 'none' ? 'none' : setting.style);

const COVERAGE: Readonly<Record<string, RowDesign['coverage']>> = {
  full: { kind: 'full' },
  half: { kind: 'arc', angleRad: Math.PI },
  third: { kind: 'arc', angleRad: (2 * Math.PI) / 3 },
};

function coverageDesign(coverage: RowTemplate['coverage']): RowDesign['coverage'] {
  if (Array.isArray(coverage)) return { kind: 'angles', anglesRad: coverage };
  return typeof coverage === 'number' ? { kind: 'arc', angleRad: coverage } : COVERAGE[coverage];
}

/** Round cuts have no length; others are as long as is usual unless the file says otherwise. */
function sort(name: string, cut: StoneSort['cut'], diameterMm: number, lengthMm?: number): StoneSort {
  const { round, ratio } = CUTS.get(cut)!;
  return { name, cut, diameterMm, ...(round ? {} : { lengthMm: lengthMm ?? diameterMm * ratio.usual }) };
}

/** The row's own stone. */
export const rowStone = (row: RowTemplate): StoneSort => sort('', row.cut, row.diameter, row.length);

/** A stone that differs from the row's own; a length stays the row's where cut and diameter do. */
function otherSort(
  name: string,
  row: RowTemplate,
  other: { cut?: StoneSort['cut']; diameter?: number; length?: number },
): StoneSort {
  const same = other.cut === undefined && other.diameter === undefined;
  const length = other.length ?? (same ? row.length : undefined);
  return sort(name, other.cut ?? row.cut, other.diameter ?? row.diameter, length);
}

/** The rows of a design that one of a template is: in both side faces it is two. */
export function rowDesigns(name: string, row: RowTemplate): RowDesign[] {
  const one = rowDesign(name, row);
  if (row.side !== 'both-edges') return [one];
  return [
    { ...one, face: 'first' },
    { ...one, name: `${name}-2`, face: 'second' },
  ];
}

/** Seats whose holes would come out where they are seen. */
export const isClosed = ({ side }: RowTemplate) => side !== 'outside';

const FACES: Partial<Record<RowTemplate['side'], RowDesign['face']>> = {
  'first-edge': 'first',
  'second-edge': 'second',
};

function rowDesign(name: string, row: RowTemplate): RowDesign {
  const { setting, alternate, centre, graduate, stagger } = row;
  const face = FACES[row.side];
  return {
    ...sort(name, row.cut, row.diameter, row.length),
    lane: row.lane,
    ...(row.side === 'bore' && { inside: true as const }),
    ...(face && { face }),
    ...(row.offset !== 0 && { offsetMm: row.offset }),
    ...(row['narrow-end'] === 'inwards' && { narrowEnd: 'inwards' as const }),
    coverage: coverageDesign(row.coverage),
    count: row.count,
    leastGapMm: row['least-gap'],
    setDepthMm: row['set-depth'] ?? settingAsks(styleOf(row)).setDepthMm,
    holeShare: isClosed(row) ? 0 : row.hole,
    ...azureDesign(row),
    ...(row.floor === undefined ? {} : { floorMm: row.floor }),
    ...(alternate && { alternate: alternate.map((a, i) => otherSort(`${name}-${i + 2}`, row, a)) }),
    ...(centre && { centre: otherSort(`${name}-centre`, row, centre) }),
    ...(row.stocked && { stockedMm: [...new Set(row.stocked)].sort((a, b) => a - b) }),
    ...(graduate && {
      graduate: {
        toMm: graduate.to,
        stepMm: graduate.step,
        ...(graduate.through && { throughMm: graduate.through }),
        ...(graduate.from === 'start' && { oneWay: true as const }),
      },
    }),
    ...(stagger && {
      stagger: { apartMm: stagger.apart, ...(stagger.lines === 2 ? {} : { lines: stagger.lines }) },
    }),
    setting: settingDesign(setting),
  };
}

/** Holes that go through are azured as the row says, or else as its style has it. */
function azureDesign(row: RowTemplate): Pick<RowDesign, 'azureShare'> {
  const through = row.hole > 0 && row.floor === undefined && !isClosed(row);
  const azureShare = row.azure ?? settingAsks(styleOf(row)).azureShare ?? 0;
  return through && azureShare > row.hole ? { azureShare } : {};
}

/** A sort of stone by the name that axes of colour use, and the stone that the file gives it. */
export interface ColouredSort {
  name: string;
  stone: string;
  /** it wears what its row wears unless it is named */
  follows: boolean;
  row: string;
}

/** All sorts of a template's rows in the order of a dress. */
export function colouredSorts(template: Template): ColouredSort[] {
  return Object.entries(template.rows).flatMap(([row, design]) => {
    const written = [design, ...(design.alternate ?? []), ...(design.centre ? [design.centre] : [])];
    return rowDesigns(row, design).flatMap((placed, k) =>
      sortsOf(placed).map(({ name }, i) => ({
        name,
        row,
        stone: written[i].stone ?? design.stone,
        follows: k + i === 0 || k > 0 || written[i].stone === undefined,
      })),
    );
  });
}
