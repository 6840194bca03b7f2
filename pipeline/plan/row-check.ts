import { CUTS } from '../trade/cuts.ts';
import type { Findings, Locate } from './findings.ts';
import { colouredSorts, isClosed, type RowTemplate, styleOf } from './row-template.ts';
import { SETTING_STYLES, settingAsks } from './setting-kinds.ts';
import { quotedChoice } from './strict-object.ts';
import type { Template } from './template-schema.ts';

/** Reports a mistake at a path within the row. */
type Wrong = (code: string, path: string[], expected: string, received: string, advice: string) => void;

/** Reports what the schema of one row cannot see. */
export function checkRows(template: Template, findings: Findings, locate: Locate): void {
  const names = colouredSorts(template).map((s) => s.name);
  for (const [name, row] of Object.entries(template.rows)) {
    const wrong: Wrong = (code, path, expected, received, advice) =>
      findings.add({ code, path: ['rows', name, ...path], expected, received, advice }, locate);
    checkLength(row, wrong);
    checkSetting(row, wrong);
    checkFloor(row, wrong);
    checkAzure(row, wrong);
    checkNarrowEnd(row, wrong);
    checkBothEdges(name, row, names, wrong);
    checkLines(row, wrong);
    checkOneWay(row, wrong);
    checkAngles(row, wrong);
    checkOffset(row, wrong);
    checkStaggeredSetting(row, wrong);
    checkName(name, names, wrong);
  }
}

function checkLength(row: RowTemplate, wrong: Wrong): void {
  if (row.length !== undefined && CUTS.get(row.cut)!.round) {
    const received = `cut "${row.cut}", which is round`;
    wrong('length-of-round', ['length'], 'a cut that is not round', received, 'Give the diameter only.');
  }
}

function checkSetting(row: RowTemplate, wrong: Wrong): void {
  const style = styleOf(row);
  if (row['set-depth'] !== undefined && settingAsks(style).tablesLevel) {
    const received = `style "${style}", whose tables lie level with the metal`;
    const advice = 'Leave "set-depth" out.';
    wrong('set-depth-of-flush', ['set-depth'], `a setting other than ${style}`, received, advice);
  }
  if (isClosed(row) && style !== 'flush') {
    const [code, where, finger] =
      row.side === 'bore'
        ? ['bore', 'in the bore', 'the finger']
        : ['face', 'in a side face', 'the next finger'];
    const advice = `Set them flush: whatever stands out there is felt by ${finger}.`;
    wrong(`${code}-setting`, ['setting'], `the setting "flush" ${where}`, `"${style}"`, advice);
  }
}

function checkFloor(row: RowTemplate, wrong: Wrong): void {
  if (isClosed(row) && (row.floor !== undefined || row.azure)) {
    const key = row.floor === undefined ? 'azure' : 'floor';
    const [code, where] = row.side === 'bore' ? ['bore', 'in the bore'] : ['face', 'in side faces'];
    const advice = `Leave "${key}" out: seats ${where} are closed.`;
    wrong(`${code}-seat-closed`, [key], `no measure of holes ${where}`, `"${key}"`, advice);
  } else if (row.floor !== undefined && row.hole === 0) {
    const advice = 'Leave "floor" out: closed seats end below their stones.';
    wrong('floor-without-hole', ['floor'], 'a hole to end at the floor', 'hole 0', advice);
  }
}

function checkAzure(row: RowTemplate, wrong: Wrong): void {
  if (row.azure && (row.hole === 0 || row.floor !== undefined)) {
    const received = row.hole === 0 ? 'hole 0' : 'a floor under them';
    const advice = 'Leave "azure" out: it widens holes where they come out of the bore.';
    wrong('azure-without-hole', ['azure'], 'holes that go through', received, advice);
  } else if (row.azure && row.azure <= row.hole) {
    const percent = (share: number) => `${Math.round(1000 * share) / 10} %`;
    const advice = 'Give a wider one, or 0 for straight holes.';
    wrong(
      'azure-within-hole',
      ['azure'],
      `more than the hole’s ${percent(row.hole)}`,
      percent(row.azure),
      advice,
    );
  }
}

function checkNarrowEnd(row: RowTemplate, wrong: Wrong): void {
  const cuts = [row.cut, ...(row.alternate ?? []).map(({ cut }) => cut), row.centre?.cut];
  if (row['narrow-end'] === 'inwards' && !cuts.some((cut) => cut && CUTS.get(cut)!.pointed)) {
    const advice = 'Leave "narrow-end" out.';
    wrong('narrow-end-of-none', ['narrow-end'], 'a cut with a narrow end', `"${row.cut}"`, advice);
  }
}

/** A row in both side faces is two, with the same stones under one name and its second. */
function checkBothEdges(name: string, row: RowTemplate, names: readonly string[], wrong: Wrong): void {
  const unlike = row.alternate ? 'alternate' : row.centre ? 'centre' : undefined;
  if (unlike && row.side === 'both-edges') {
    const advice = 'Give each edge a row of its own, so that each has names of its own.';
    wrong('both-edges-of-unequal', [unlike], 'equal stones in both side faces', `"${unlike}"`, advice);
  }
  if (row.side === 'both-edges' && names.filter((other) => other === `${name}-2`).length > 1) {
    const advice = 'Rename one of the rows.';
    wrong(
      'both-edges-name',
      ['side'],
      `"${name}-2" as the name of its second face`,
      'a row of that name',
      advice,
    );
  }
}

/** The field that makes a row's stones differ from each other. */
const mixedBy = (row: RowTemplate) =>
  row.alternate ? 'alternate' : row.centre ? 'centre' : row.graduate ? 'graduate' : undefined;

function checkLines(row: RowTemplate, wrong: Wrong): void {
  const mixed = mixedBy(row);
  if (mixed && row.stagger) {
    const advice = 'Leave one of them out; two lines of different stones are rows of their own.';
    wrong('stagger-of-unequal', ['stagger'], `a row without "${mixed}"`, 'both', advice);
  }
  if (row.stagger && row.stagger.lines > 2 && row.setting !== 'none') {
    const { setting } = row;
    if (setting.style === 'grain' && setting.grains === 'own') {
      const received = `"own" for ${row.stagger.lines} lines`;
      const advice = 'Four grains of each stone would stand in the stones of the lines beside it.';
      wrong('stagger-grains-own', ['setting', 'grains'], '"shared"', received, advice);
    }
  }
}

function checkOneWay(row: RowTemplate, wrong: Wrong): void {
  if (row.graduate?.from === 'start' && row.coverage === 'full') {
    const advice = 'Give a part of the band, or leave "from" out: sizes then fall to the stone opposite.';
    wrong('one-way-all-round', ['graduate', 'from'], 'an open row', 'coverage "full"', advice);
  }
  if (row.graduate?.from === 'start' && row.centre) {
    const advice = 'Leave one of them out.';
    wrong('one-way-from-centre', ['centre'], 'no centre stone in a row that goes one way', 'both', advice);
  }
}

function checkAngles(row: RowTemplate, wrong: Wrong): void {
  const mixed = mixedBy(row);
  if (Array.isArray(row.coverage) && (mixed || row.stagger)) {
    const field = mixed ?? 'stagger';
    const advice = 'Give a part of the band instead of angles, or rows of their own.';
    wrong('angles-of-unequal', [field], 'a coverage that is no list of angles', 'a list', advice);
  }
}

function checkOffset(row: RowTemplate, wrong: Wrong): void {
  const style = styleOf(row);
  if (row.offset !== 0 && (style === 'channel' || style === 'grain')) {
    const advice =
      'Its field or walls would run into those beside it: use "stagger" under grains, or a lane for each row.';
    wrong(
      'offset-setting',
      ['offset'],
      'no offset of a row in a field or channel',
      `${row.offset} mm`,
      advice,
    );
  }
}

function checkStaggeredSetting(row: RowTemplate, wrong: Wrong): void {
  const style = styleOf(row);
  const asks = settingAsks(style);
  if (row.stagger && asks.notStaggered) {
    const able = SETTING_STYLES.filter((other) => !settingAsks(other).notStaggered);
    const expected = `a setting of ${quotedChoice([...able, 'none'])}`;
    const advice = `${asks.notStaggered}: use grains, or two rows on lanes of their own.`;
    wrong('stagger-setting', ['setting'], expected, `"${style}"`, advice);
  }
}

function checkName(name: string, names: readonly string[], wrong: Wrong): void {
  if (names.filter((n) => n === name).length > 1) {
    const received = `"${name}", which is also a stone of another row`;
    wrong('row-name-taken', [], 'a name of its own', received, 'Rename the row.');
  }
}
