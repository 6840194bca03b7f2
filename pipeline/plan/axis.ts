import { ALLOYS } from '../trade/alloys.ts';
import { stoneSlug, type Treatment } from '../trade/declared-stone.ts';
import { MARKETS } from '../trade/market.ts';
import type { RingSize } from '../trade/ring-size.ts';
import { sizeSlug } from '../trade/size-slug.ts';
import type { StoneOrigin } from '../trade/stones.ts';
import type { TradeWords } from '../trade/trade-words.ts';
import { type Language, tradeWords } from '../trade/words.ts';
import type { Config } from './config-schema.ts';
import type { Findings } from './findings.ts';
import type { FreeValue, MetalValue, SizeValue, StoneValue, WidthValue } from './grid-schema.ts';
import { colouredSorts } from './row-template.ts';
import { adviseName } from './suggestion.ts';
import type { Template } from './template-schema.ts';
import type { FieldPath } from './yaml-source.ts';

/** One value of an axis, with everything it decides. */
export interface AxisValue {
  label: string;
  slug: string;
  /** other texts by which a skip or a pair may name it */
  names: string[];
  /** where it stands in the config */
  path: FieldPath;
  /** changes to the template */
  set?: unknown;
  size?: RingSize;
  widthMm?: number;
  /** lane → alloy */
  alloys?: Record<string, string>;
  /** row → stone; null for a band without stones */
  stones?: Record<string, string> | null;
  origin?: StoneOrigin;
  treatments?: Treatment[];
}

export interface Axis {
  name: string;
  values: AxisValue[];
}

/** Lanes and rows that axis values may name. */
export interface Parts {
  lanes: string[];
  /** rows, and the other sorts of stones in them */
  rows: string[];
  /** those that a stone for all rows colours: all but sorts with a stone of their own */
  plain: string[];
}

export function partsOf(template: Template): Parts {
  const sorts = colouredSorts(template);
  return {
    lanes: Object.keys(template.lanes),
    rows: sorts.map(({ name }) => name),
    plain: sorts.filter(({ follows }) => follows).map(({ name }) => name),
  };
}

function distinct(items: readonly string[]): string[] {
  return [...new Set(items)];
}

function sizeAxisValue(written: SizeValue, path: FieldPath): AxisValue {
  const { value, label, slug, set } = 'value' in written ? written : { ...named, value: written };
  return {
    label: label ?? value.name,
    slug: slug ?? sizeSlug(value),
    names: [value.written, value.name],
    path,
    set,
    size: value,
  };
}

const named: { label?: string; slug?: string; set?: unknown } = {};

function widthAxisValue(written: WidthValue, path: FieldPath, language: Language): AxisValue {
  const { value, label, slug, set } = typeof written === 'object' ? written : { ...named, value: written };
  const text = String(Number(value.toFixed(3)));
  return {
    label:
      label ??
      `${language === 'en' ? text : new Intl.NumberFormat(language, { maximumFractionDigits: 3 }).format(value)} mm`,
    slug: slug ?? text,
    names: [text, `${text} mm`],
    path,
    set,
    widthMm: value,
  };
}

/** Names of parts that a mapping uses must exist. */
function checkParts(
  parts: Record<string, string>,
  known: readonly string[],
  path: FieldPath,
  findings: Findings,
) {
  for (const name of Object.keys(parts)) {
    if (known.includes(name)) continue;
    findings.add({
      code: 'unknown-name',
      path: [...path, name],
      key: true,
      expected: known.length > 0 ? `one of ${known.join(', ')}` : 'no entry: the template has none',
      received: JSON.stringify(name),
      advice: adviseName(name, known),
    });
  }
}

/** An alloy for all lanes or a mapping, as a mapping. */
export function alloysByLane(value: string | Record<string, string>, lanes: readonly string[]) {
  return typeof value === 'string' ? Object.fromEntries(lanes.map((l) => [l, value])) : value;
}

function metalNames(ids: readonly string[], words: TradeWords): { label: string; slug: string } {
  const used = distinct(ids);
  return {
    label: used.map(words.alloyLabel).join(' & '),
    slug: used.map((id) => ALLOYS.get(id)?.slug).join('-'),
  };
}

function metalAxisValue(
  written: MetalValue,
  path: FieldPath,
  parts: Parts,
  words: TradeWords,
  findings: Findings,
): AxisValue {
  const { value, label, slug, set } = typeof written === 'object' ? written : { ...named, value: written };
  if (typeof value === 'object') checkParts(value, parts.lanes, [...path, 'value'], findings);
  const own = metalNames(typeof value === 'string' ? [value] : Object.values(value), words);
  return {
    label: label ?? own.label,
    slug: slug ?? own.slug,
    names: typeof value === 'string' ? [value] : [],
    path,
    set,
    alloys: alloysByLane(value, parts.lanes),
  };
}

/** Names of the trade as a config's readers use them. */
export function configWords({ language, market }: Pick<Config, 'language' | 'market'>): TradeWords {
  return tradeWords(language, market === undefined ? undefined : MARKETS.get(market));
}

/** A partner's size, width, metal or lack of stones, where it differs from the grid's. */
export function partnerSize(size: RingSize & { written: string }, path: FieldPath): AxisValue {
  return sizeAxisValue(size, path);
}

export function partnerWidth(widthMm: number, path: FieldPath, language: Language): AxisValue {
  return widthAxisValue(widthMm, path, language);
}

export function partnerMetal(alloys: Record<string, string>, path: FieldPath, words: TradeWords): AxisValue {
  return { ...metalNames(Object.values(alloys), words), names: [], path, alloys };
}

export function withoutStones(path: FieldPath, language: Language): AxisValue {
  return { label: tradeWords(language).noStones, slug: 'none', names: ['none'], path, stones: null };
}

function stoneAxisValue(
  written: StoneValue,
  path: FieldPath,
  parts: Parts,
  config: Config,
  findings: Findings,
): AxisValue {
  const plain = typeof written === 'string';
  const { value, label, slug, set } = plain ? { ...named, value: written } : written;
  const { origin, treatments } = plain ? { origin: undefined, treatments: undefined } : written;
  if (typeof value === 'object') checkParts(value, parts.rows, [...path, 'value'], findings);
  const ids = value === 'none' ? [] : distinct(typeof value === 'string' ? [value] : Object.values(value));
  const words = tradeWords(config.language);
  const originOf = (id: string) => origin ?? config.origins[id];
  const choice = (id: string) =>
    words.stoneChoice(id, originOf(id), treatments ?? config.treatments[id] ?? []);
  return {
    label: label ?? (ids.map(choice).join(' & ') || words.noStones),
    slug: slug ?? (ids.map((id) => stoneSlug(id, originOf(id))).join('-') || 'none'),
    names: typeof value === 'string' ? [value] : [],
    path,
    set,
    stones:
      value === 'none'
        ? null
        : typeof value === 'string'
          ? Object.fromEntries(parts.plain.map((r) => [r, value]))
          : value,
    origin,
    treatments,
  };
}

function freeAxisValue(written: FreeValue, path: FieldPath): AxisValue {
  return { ...written, names: [], path };
}

/** Two values of an axis must not share a label or slug: SKUs and filters could not tell them apart. */
function checkDistinct(axis: Axis, findings: Findings): void {
  const told = new Set<number>();
  for (const field of ['label', 'slug'] as const) {
    const first = new Map<string, number>();
    axis.values.forEach((value, i) => {
      const text = value[field].toLowerCase();
      const before = first.get(text);
      if (before === undefined) first.set(text, i);
      else if (!told.has(i)) {
        told.add(i);
        findings.add({
          code: 'axis-values-alike',
          path: value.path,
          expected: `a ${field} that no other value of "${axis.name}" has`,
          received: `${JSON.stringify(value[field])}, as grid.${axis.name}[${before}]`,
          advice: `Remove one of them or give it its own ${field}.`,
        });
      }
    });
  }
}

/** The axes of a grid in the order of the file. */
export function readAxes(config: Config, order: readonly string[], parts: Parts, findings: Findings): Axis[] {
  const { size, width, metal, stone, ...free } = config.grid;
  const at = (name: string, i: number): FieldPath => ['grid', name, i];
  const known: Record<string, AxisValue[] | undefined> = {
    size: size.map((v, i) => sizeAxisValue(v, at('size', i))),
    width: width?.map((v, i) => widthAxisValue(v, at('width', i), config.language)),
    metal: metal?.map((v, i) => metalAxisValue(v, at('metal', i), parts, configWords(config), findings)),
    stone: stone?.map((v, i) => stoneAxisValue(v, at('stone', i), parts, config, findings)),
  };
  // a map: an axis may be called like something that every object has
  const axes = new Map(Object.entries(known));
  for (const [name, values] of Object.entries(free as Record<string, FreeValue[]>))
    axes.set(
      name,
      values.map((v, i) => freeAxisValue(v, at(name, i))),
    );
  const out = order.flatMap((name) => {
    const values = axes.get(name);
    return values ? [{ name, values }] : [];
  });
  for (const axis of out) checkDistinct(axis, findings);
  return out;
}
