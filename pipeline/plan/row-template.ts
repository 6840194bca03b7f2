import { CUTS } from '../trade/cuts.ts';
import { type RowDesign, type StoneSort, sortsOf } from './design.ts';
import type { Findings, Locate } from './findings.ts';
import { SETTING_STYLES, settingAsks, settingDesign } from './setting-kinds.ts';
import { quotedChoice } from './strict-object.ts';
import type { Template } from './template-schema.ts';

type RowTemplate = Template['rows'][string];

const styleOf = ({ setting }: RowTemplate) => (setting === 'none' ? 'none' : setting.style);

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
const isClosed = ({ side }: RowTemplate) => side !== 'outside';

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

/** Reports what the schema of one row cannot see. */
export function checkRows(template: Template, findings: Findings, locate: Locate): void {
  const wrong = (code: string, path: string[], expected: string, received: string, advice: string) =>
    findings.add({ code, path: ['rows', ...path], expected, received, advice }, locate);
  const names = colouredSorts(template).map((s) => s.name);
  for (const [name, row] of Object.entries(template.rows)) {
    const style = styleOf(row);
    const asks = settingAsks(style);
    if (row.length !== undefined && CUTS.get(row.cut)!.round) {
      const received = `cut "${row.cut}", which is round`;
      wrong(
        'length-of-round',
        [name, 'length'],
        'a cut that is not round',
        received,
        'Give the diameter only.',
      );
    }
    if (row['set-depth'] !== undefined && asks.tablesLevel) {
      const received = `style "${style}", whose tables lie level with the metal`;
      const advice = 'Leave "set-depth" out.';
      wrong('set-depth-of-flush', [name, 'set-depth'], `a setting other than ${style}`, received, advice);
    }
    if (isClosed(row) && style !== 'flush') {
      const [code, where, finger] =
        row.side === 'bore'
          ? ['bore', 'in the bore', 'the finger']
          : ['face', 'in a side face', 'the next finger'];
      const advice = `Set them flush: whatever stands out there is felt by ${finger}.`;
      wrong(`${code}-setting`, [name, 'setting'], `the setting "flush" ${where}`, `"${style}"`, advice);
    }
    if (isClosed(row) && (row.floor !== undefined || row.azure)) {
      const key = row.floor === undefined ? 'azure' : 'floor';
      const [code, where] = row.side === 'bore' ? ['bore', 'in the bore'] : ['face', 'in side faces'];
      const advice = `Leave "${key}" out: seats ${where} are closed.`;
      wrong(`${code}-seat-closed`, [name, key], `no measure of holes ${where}`, `"${key}"`, advice);
    } else if (row.floor !== undefined && row.hole === 0) {
      const advice = 'Leave "floor" out: closed seats end below their stones.';
      wrong('floor-without-hole', [name, 'floor'], 'a hole to end at the floor', 'hole 0', advice);
    }
    if (row.azure && (row.hole === 0 || row.floor !== undefined)) {
      const received = row.hole === 0 ? 'hole 0' : 'a floor under them';
      const advice = 'Leave "azure" out: it widens holes where they come out of the bore.';
      wrong('azure-without-hole', [name, 'azure'], 'holes that go through', received, advice);
    } else if (row.azure && row.azure <= row.hole) {
      const percent = (share: number) => `${Math.round(1000 * share) / 10} %`;
      const advice = 'Give a wider one, or 0 for straight holes.';
      wrong(
        'azure-within-hole',
        [name, 'azure'],
        `more than the hole’s ${percent(row.hole)}`,
        percent(row.azure),
        advice,
      );
    }
    const cuts = [row.cut, ...(row.alternate ?? []).map(({ cut }) => cut), row.centre?.cut];
    if (row['narrow-end'] === 'inwards' && !cuts.some((cut) => cut && CUTS.get(cut)!.pointed)) {
      const advice = 'Leave "narrow-end" out.';
      wrong('narrow-end-of-none', [name, 'narrow-end'], 'a cut with a narrow end', `"${row.cut}"`, advice);
    }
    const unlike = row.alternate ? 'alternate' : row.centre ? 'centre' : undefined;
    if (unlike && row.side === 'both-edges') {
      const advice = 'Give each edge a row of its own, so that each has names of its own.';
      wrong(
        'both-edges-of-unequal',
        [name, unlike],
        'equal stones in both side faces',
        `"${unlike}"`,
        advice,
      );
    }
    if (row.side === 'both-edges' && names.filter((other) => other === `${name}-2`).length > 1) {
      const advice = 'Rename one of the rows.';
      wrong(
        'both-edges-name',
        [name, 'side'],
        `"${name}-2" as the name of its second face`,
        'a row of that name',
        advice,
      );
    }
    const mixed = row.alternate ? 'alternate' : row.centre ? 'centre' : row.graduate ? 'graduate' : undefined;
    if (mixed && row.stagger) {
      const advice = 'Leave one of them out; two lines of different stones are rows of their own.';
      wrong('stagger-of-unequal', [name, 'stagger'], `a row without "${mixed}"`, 'both', advice);
    }
    if (row.stagger && row.stagger.lines > 2 && row.setting !== 'none') {
      const { setting } = row;
      if (setting.style === 'grain' && setting.grains === 'own') {
        const received = `"own" for ${row.stagger.lines} lines`;
        const advice = 'Four grains of each stone would stand in the stones of the lines beside it.';
        wrong('stagger-grains-own', [name, 'setting', 'grains'], '"shared"', received, advice);
      }
    }
    if (row.graduate?.from === 'start' && row.coverage === 'full') {
      const advice = 'Give a part of the band, or leave "from" out: sizes then fall to the stone opposite.';
      wrong('one-way-all-round', [name, 'graduate', 'from'], 'an open row', 'coverage "full"', advice);
    }
    if (row.graduate?.from === 'start' && row.centre) {
      const advice = 'Leave one of them out.';
      wrong(
        'one-way-from-centre',
        [name, 'centre'],
        'no centre stone in a row that goes one way',
        'both',
        advice,
      );
    }
    if (Array.isArray(row.coverage) && (mixed || row.stagger)) {
      const field = mixed ?? 'stagger';
      const advice = 'Give a part of the band instead of angles, or rows of their own.';
      wrong('angles-of-unequal', [name, field], 'a coverage that is no list of angles', 'a list', advice);
    }
    if (row.offset !== 0 && (style === 'channel' || style === 'grain')) {
      const advice =
        'Its field or walls would run into those beside it: use "stagger" under grains, or a lane for each row.';
      wrong(
        'offset-setting',
        [name, 'offset'],
        'no offset of a row in a field or channel',
        `${row.offset} mm`,
        advice,
      );
    }
    if (row.stagger && asks.notStaggered) {
      const able = SETTING_STYLES.filter((other) => !settingAsks(other).notStaggered);
      const expected = `a setting of ${quotedChoice([...able, 'none'])}`;
      const advice = `${asks.notStaggered}: use grains, or two rows on lanes of their own.`;
      wrong('stagger-setting', [name, 'setting'], expected, `"${style}"`, advice);
    }
    if (names.filter((n) => n === name).length > 1) {
      const received = `"${name}", which is also a stone of another row`;
      wrong('row-name-taken', [name], 'a name of its own', received, 'Rename the row.');
    }
  }
}
