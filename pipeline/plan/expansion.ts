import { contentKey } from '../store/content-key.ts';
import { TREATMENTS, type Treatment } from '../trade/declared-stone.ts';
import { STONES, type StoneOrigin } from '../trade/stones.ts';
import type { Axis } from './axis.ts';
import type { BandSource } from './band-source.ts';
import { shapeDesign } from './band-template.ts';
import { chosenFigures } from './chosen-values.ts';
import type { Config } from './config-schema.ts';
import type { ShapeDesign } from './design.ts';
import { changesOf, type DesignCache, type TemplateChange } from './design-cache.ts';
import type { Findings } from './findings.ts';
import { undecidedBeds } from './inlay-beds.ts';
import { letterPlaces } from './marks-template.ts';
import { type GridCell, type Matcher, readMatch } from './match.ts';
import type { PartnerRelation } from './mirrored.ts';
import { followingTemplate } from './mirrored.ts';
import { lanePattern } from './pattern-schema.ts';
import type { Dress, ShapeKey, Sku, Variant } from './plan.ts';
import { colouredSorts } from './row-template.ts';
import { cellText, defaultPattern, type SkuRegister, skuOf } from './sku.ts';
import { isPath } from './template-file.ts';
import type { Template } from './template-schema.ts';
import { type Waiver, waiversOf } from './waivers.ts';

/** Grids beyond this are taken for a mistake. */
export const MOST_CELLS = 20_000;
const MANY_CELLS = 2_000;

/** What expansion needs to know and where it reports. */
export interface Expansion {
  config: Config;
  axes: readonly Axis[];
  designs: DesignCache;
  findings: Findings;
  skus: SkuRegister;
  pattern: string;
  waivers: readonly Waiver[];
  /** filled as variants are made */
  shapes: Record<string, ShapeDesign>;
  /** by SKU, filled likewise */
  sources: Map<string, BandSource>;
}

export interface ExpandedVariant {
  cell: GridCell;
  variant: Variant;
}

function* cells(axes: readonly Axis[]): Generator<GridCell> {
  const index = axes.map(() => 0);
  for (;;) {
    yield new Map(axes.map((axis, i) => [axis.name, axis.values[index[i]]]));
    let i = axes.length - 1;
    while (i >= 0 && ++index[i] === axes[i].values.length) index[i--] = 0;
    if (i < 0) return;
  }
}

function dressOf(
  template: Template,
  cell: GridCell,
  changes: readonly TemplateChange[],
  e: Expansion,
): Dress {
  const alloys = Object.entries(template.lanes).map(([name, lane]) => {
    const alloy = cell.get('metal')?.alloys?.[name] ?? lane.alloy;
    if (alloy === undefined)
      e.designs.report(changes, {
        code: 'no-alloy',
        path: ['lanes', name],
        expected: 'an alloy for every lane',
        received: 'none from the template or the metal axis',
        advice: `Give the lane an alloy, or name "${name}" in every value of the metal axis.`,
      });
    return alloy ?? '';
  });
  const names = Object.keys(template.lanes);
  for (const { inlay, lanes, alloys: beside } of undecidedBeds(template, (n) => alloys[names.indexOf(n)]))
    e.designs.report(changes, {
      code: 'inlay-bed',
      path: ['lanes', inlay, 'inlay'],
      expected: `one alloy for ${lanes.join(' and ')}, or a "bed" that says which runs on beneath`,
      received: beside.join(' and '),
      advice: `Write bed: ${lanes[0]} or bed: ${lanes[1]}.`,
    });
  const given = cell.get('stone')?.stones;
  const stones =
    given === null
      ? []
      : colouredSorts(template).map(
          ({ name, row, stone, follows }) => given?.[name] ?? (follows ? given?.[row] : undefined) ?? stone,
        );
  const lanes = Object.values(template.lanes);
  const patterns = alloys.map((alloy, i) => lanePattern(alloy, lanes[i]));
  return {
    alloys,
    finishes: lanes.map((l) => l.finish),
    stones,
    ...(patterns.some(Boolean) && { patterns }),
  };
}

/** What the stones of a dress were declared to be; the table must not guess, so a missing word is an error. */
function originsOf(dress: Dress, cell: GridCell, e: Expansion): StoneOrigin[] {
  const value = cell.get('stone');
  return dress.stones.map((id) => {
    const origin = value?.origin ?? e.config.origins[id];
    const allowed = STONES.get(id)?.origins ?? [];
    if (origin !== undefined && allowed.includes(origin)) return origin;
    const path = value?.origin ? [...value.path, 'origin'] : origin ? ['origins', id] : ['origins'];
    e.findings.add({
      code: origin === undefined ? 'no-origin' : 'origin-conflict',
      path,
      expected: `the origin of ${id}: ${allowed.join(' or ')}`,
      received: origin ?? 'nothing',
      advice:
        origin === undefined
          ? `Declare what it really is, for example "origins: { ${id}: ${allowed[0]} }"; a buyer must be told.`
          : 'Choose the stone that it really is: density, brilliance and colour follow from it.',
    });
    return 'natural';
  });
}

/** What was done to the stones of a dress; those that usually are treated need a word. */
function treatmentsOf(dress: Dress, cell: GridCell, e: Expansion): Treatment[][] {
  const value = cell.get('stone');
  return dress.stones.map((id) => {
    const declared = value?.treatments ?? e.config.treatments[id];
    if (declared || !STONES.get(id)?.treated) return declared ?? [];
    e.findings.add({
      code: 'no-treatment',
      path: ['treatments'],
      expected: `the treatment of ${id}: ${TREATMENTS.join(', ')}, or a list`,
      received: 'nothing',
      advice: `Declare what your supplier tells you, for example "treatments: { ${id}: heated }"; such stones are usually treated and a buyer must be told. Write "undetermined" if nobody knows.`,
    });
    return [];
  });
}

/** The catalogue item of a cell, its shape put among the plan's; undefined if its design has problems. */
export function makeVariant(
  cell: GridCell,
  sku: Sku,
  e: Expansion,
  extra: readonly TemplateChange[] = [],
  following?: PartnerRelation,
): Variant | undefined {
  const changes = [...changesOf(cell.values()), ...extra];
  const size = cell.get('size')?.size;
  if (!size) return undefined;
  const width = cell.get('width')?.widthMm;
  const at = { size: size.circumferenceMm, ...(width !== undefined && { width }) };
  const written = e.designs.design(changes, at);
  if (!written) return undefined;
  const widthMm = width ?? written.width;
  e.designs.checkWidth(written, changes, widthMm);
  const template = following ? followingTemplate(written, following) : written;
  const withStones = cell.get('stone')?.stones !== null;
  const design = shapeDesign(template, size.circumferenceMm, widthMm, withStones);
  const places = letterPlaces(template, widthMm);
  const chosen = chosenFigures(template);
  const shape = contentKey(design) as ShapeKey;
  e.shapes[shape] = design;
  e.sources.set(sku, {
    layers: e.designs.layers(changes),
    written,
    design,
    decided: Object.fromEntries([...cell].map(([name, v]) => [name, v.path])),
    config: e.designs.config,
    ownTemplate: isPath(e.config.template),
    follows: following !== undefined,
  });
  const dress = dressOf(template, cell, changes, e);
  const entries = [...cell];
  return {
    sku,
    axes: {
      ...Object.fromEntries(entries.map(([name, v]) => [name, v.label])),
      ...(following?.mirror ? { hand: 'Mirrored' } : {}),
    },
    slugs: Object.fromEntries(entries.map(([name, v]) => [name, v.slug])),
    shape,
    dress,
    origins: originsOf(dress, cell, e),
    treatments: treatmentsOf(dress, cell, e),
    ...waiversOf(cell, e.waivers),
    ...(chosen.length > 0 && { chosen }),
    ...(places && { letterPlaces: places }),
  };
}

function slugsOf(cell: GridCell): Record<string, string> {
  return Object.fromEntries([...cell].map(([name, v]) => [name, v.slug]));
}

function checkSize(e: Expansion): boolean {
  const count = e.axes.reduce((n, a) => n * a.values.length, 1);
  if (count <= MANY_CELLS) return true;
  const tooMany = count > MOST_CELLS;
  e.findings.add({
    code: tooMany ? 'grid-too-large' : 'grid-large',
    severity: tooMany ? 'error' : 'warning',
    path: ['grid'],
    expected: `at most ${tooMany ? MOST_CELLS : MANY_CELLS} combinations`,
    received: `${count} (${e.axes.map((a) => `${a.values.length} × ${a.name}`).join(', ')})`,
    advice: tooMany ? 'Split the catalogue into several configs.' : 'Look at the plan before making it.',
  });
  return !tooMany;
}

/** Skips in force; one that leaves out nothing is probably a slip. */
function readSkips(e: Expansion): { skips(cell: GridCell): boolean; reportIdle(): void } {
  const matchers = e.config.skip.map((m, i): Matcher | undefined =>
    readMatch(m, e.axes, ['skip', i], e.findings),
  );
  const used = matchers.map(() => false);
  return {
    skips(cell) {
      let skipped = false;
      matchers.forEach((matches, i) => {
        if (!matches?.(cell)) return;
        used[i] = true;
        skipped = true;
      });
      return skipped;
    },
    reportIdle() {
      used.forEach((u, i) => {
        if (u || !matchers[i]) return;
        e.findings.add({
          code: 'idle-skip',
          severity: 'warning',
          path: ['skip', i],
          expected: 'a skip that leaves something out',
          received: 'one that matches no combination',
          advice: 'Remove it or check its values.',
        });
      });
    },
  };
}

/** Every cell of the grid that is not skipped, as a variant. */
export function expandGrid(e: Expansion): ExpandedVariant[] {
  if (!checkSize(e)) return [];
  const skips = readSkips(e);
  const kept = [...cells(e.axes)].filter((cell) => !skips.skips(cell));
  skips.reportIdle();
  if (kept.length === 0)
    e.findings.add({
      code: 'no-variant',
      path: ['skip'],
      expected: 'at least one variant',
      received: 'none: every combination of the grid is skipped',
      advice: 'Remove a skip or add values to the grid.',
    });
  return kept.flatMap((cell) => {
    const sku = e.skus.take(skuOf(e.pattern, slugsOf(cell)), cellText(cell), ['sku']);
    const variant = makeVariant(cell, sku, e);
    return variant ? [{ cell, variant }] : [];
  });
}

export function patternOf(config: Config, axes: readonly Axis[]): string {
  return config.sku ?? defaultPattern(config.catalogue, axes);
}
