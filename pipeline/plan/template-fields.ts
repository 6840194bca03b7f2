import * as z from 'zod';
import { CUTS } from '../trade/cuts.ts';
import { chosenIn } from './chosen-values.ts';
import { readQuantity } from './formula.ts';
import { MEASURE_FIELDS, type MeasureField, type WidthMeasure } from './measure.ts';
import { isMapping } from './raw-merge.ts';
import { sectionUses } from './section-design.ts';
import { SETTING_STYLES, settingAsks } from './setting-kinds.ts';
import { templateSchema } from './template-schema.ts';
import type { FieldPath } from './yaml-source.ts';

/** One value of a template that can be changed by itself, as its schema has it. */
export interface TemplateField {
  path: FieldPath;
  kind: 'measure' | 'number' | 'choice' | 'flag' | 'text';
  /** of a measure */
  measure?: MeasureField;
  /** of a number */
  least?: number;
  most?: number;
  /** what a choice may be, or words that may stand in place of a measure or number */
  words?: string[];
  /** as the file has it; absent where nothing is written */
  raw?: unknown;
  /** what counts where nothing is written, in the form of a file; absent where that follows from other values */
  usual?: string;
  schema: Schema;
}

type Schema = z.core.$ZodType;
type Definition = { type: string } & Record<string, unknown>;

const definition = (schema: Schema) => schema._zod.def as unknown as Definition;

/** A field before it is known what is written there. */
type Leaf = Omit<TemplateField, 'path' | 'raw' | 'usual'>;

/**
 * All fields of a template: its single values, those it holds and those it could. Marks and mappings that it leaves out
 * are none, nor are measures for which its section or cut has no use; what a mapping is (the kind of a seam, the style
 * of a setting) is no field, since with it all its keys change.
 * @param raw the template as its layers come to
 */
export function templateFields(raw: unknown): TemplateField[] {
  const shaped = walk(templateSchema, raw, []).filter(
    ({ path }) => !UNSHAPED.has(String(path[0])) && suits(path, raw),
  );
  return [...chosenFields(raw), ...shaped];
}

/** What a template lets be chosen: figures by their unit, within their limits, and words. */
function chosenFields(raw: unknown): TemplateField[] {
  return chosenIn(raw).map(([name, { value, from, to, words }]) => {
    const [own, least, most] = [value ?? from, from, to].map(readQuantity);
    const path = ['let', name];
    const written = { path, ...(value === undefined ? {} : { raw: value }) };
    if (words) return { ...written, kind: 'choice', words, schema: z.enum(words) };
    const limits = {
      ...(least && least.unit === own?.unit && { least: least.value }),
      ...(most && most.unit === own?.unit && { most: most.value }),
    };
    const schema = z.union([z.number(), z.string().min(1).max(200)]);
    return own === undefined || own.unit === ''
      ? { ...written, kind: 'number', ...limits, schema }
      : { ...written, kind: 'measure', measure: { unit: own.unit, ...limits }, schema };
  });
}

/** Keys of a template that shape nothing. */
const UNSHAPED: ReadonlySet<string> = new Set(['title', 'about', 'let', 'sets', 'chord-tolerance']);

function walk(schema: Schema, raw: unknown, path: FieldPath, usual?: string): TemplateField[] {
  const { schema: inner, usual: own, optional } = unwrapped(schema);
  const counts = usual ?? own;
  const leaf = leafOf(inner, raw);
  if (leaf) {
    if (isMapping(raw) || Array.isArray(raw)) return [];
    return [
      {
        path,
        ...leaf,
        ...(raw === undefined ? {} : { raw }),
        ...(counts === undefined ? {} : { usual: counts }),
      },
    ];
  }
  // a mapping or list that the template leaves out is added as a whole
  if (raw === undefined && optional) return [];
  const def = definition(inner);
  switch (def.type) {
    case 'object': {
      const at = isMapping(raw) ? raw : path[0] === 'section' && typeof raw === 'string' ? { name: raw } : {};
      return Object.entries(def.shape as Record<string, Schema>).flatMap(([key, value]) =>
        walk(value, at[key], [...path, key]),
      );
    }
    case 'record':
      return Object.entries(isMapping(raw) ? raw : {}).flatMap(([key, value]) =>
        walk(def.valueType as Schema, value, [...path, key]),
      );
    case 'array':
      return listOf(raw).flatMap((value, i) => walk(def.element as Schema, value, [...path, i]));
    case 'tuple':
      return listOf(raw).flatMap((value, i) => walk((def.items as Schema[])[i], value, [...path, i]));
    case 'union': {
      const branch = branchOf(def.options as Schema[], raw, path);
      return branch ? walk(branch, raw, path, counts) : [];
    }
    case 'pipe':
      return walk(def.in as Schema, raw, path, counts);
  }
  return [];
}

const listOf = (raw: unknown): unknown[] => (Array.isArray(raw) ? raw : []);

/** A schema without what says that it may be left out. */
function unwrapped(schema: Schema): { schema: Schema; usual?: string; optional: boolean } {
  let inner = schema;
  let usual: unknown;
  let optional = false;
  for (;;) {
    const def = definition(inner);
    if (!['optional', 'default', 'prefault', 'nullable'].includes(def.type)) break;
    optional ||= def.type === 'optional';
    if ('defaultValue' in def) usual = def.defaultValue;
    inner = def.innerType as Schema;
  }
  const text = usual === undefined ? undefined : usualText(usual, leafOf(inner, undefined)?.measure);
  return { schema: inner, ...(text === undefined ? {} : { usual: text }), optional };
}

const short = (value: number) => String(Number(value.toFixed(4)));

/** A value as it would be written. */
function usualText(value: unknown, measure: MeasureField | undefined): string | undefined {
  if (isMapping(value)) return 'share' in value ? widthText(value as unknown as WidthMeasure) : undefined;
  if (typeof value !== 'number') return String(value);
  if (measure?.unit === 'deg') return `${short((value * 180) / Math.PI)} deg`;
  if (measure?.unit === '%') return `${short(100 * value)} %`;
  return measure ? `${short(value)} mm` : short(value);
}

/** `50 % - 1.1 mm` */
export function widthText({ share, mm }: WidthMeasure): string {
  if (share === 0) return `${short(mm)} mm`;
  const percent = `${short(100 * share)} %`;
  return Math.abs(mm) < 5e-5 ? percent : `${percent} ${mm < 0 ? '-' : '+'} ${short(Math.abs(mm))} mm`;
}

function leafOf(schema: Schema, raw: unknown): Leaf | undefined {
  const measure = MEASURE_FIELDS.get(schema);
  if (measure) return { kind: 'measure', measure, schema };
  const def = definition(schema);
  switch (def.type) {
    case 'enum':
      return { kind: 'choice', words: Object.values(def.entries as Record<string, string>), schema };
    case 'boolean':
      return { kind: 'flag', schema };
    case 'number':
      return { kind: 'number', ...boundsOf(schema), schema };
    case 'string':
      return { kind: 'text', schema };
    case 'union':
      return wordsAndFigures(def.options as Schema[], raw, schema);
  }
  return undefined;
}

/** A field that takes words as well as a measure or number, such as `fit` or a count. */
function wordsAndFigures(options: Schema[], raw: unknown, schema: Schema): Leaf | undefined {
  if (isMapping(raw) || Array.isArray(raw)) return undefined;
  const words = options.flatMap((option) => {
    const def = definition(option);
    if (def.type === 'literal') return (def.values as unknown[]).map(String);
    return def.type === 'enum' ? Object.values(def.entries as Record<string, string>) : [];
  });
  const figures = options.flatMap((option) => {
    const leaf = definition(option).type === 'enum' ? undefined : leafOf(option, raw);
    return leaf && leaf.kind !== 'choice' ? [leaf] : [];
  });
  if (figures.length !== 1) return undefined;
  return { ...figures[0], ...(words.length > 0 ? { words } : {}), schema };
}

function boundsOf(schema: Schema): { least?: number; most?: number } {
  const { minValue, maxValue } = schema as z.ZodNumber;
  return { ...(minValue !== null && { least: minValue }), ...(maxValue !== null && { most: maxValue }) };
}

/** The alternative that a value is written by. */
function branchOf(options: Schema[], raw: unknown, path: FieldPath): Schema | undefined {
  if (Array.isArray(raw))
    return options.find((option) => ['array', 'tuple'].includes(definition(option).type));
  // a section may be given by its name alone
  if (!isMapping(raw) && !(path[0] === 'section' && typeof raw === 'string')) return undefined;
  return options.find((option) => {
    const def = definition(option);
    if (def.type !== 'object') return false;
    if (!isMapping(raw)) return true;
    const literals = Object.entries(def.shape as Record<string, Schema>).filter(
      ([, value]) => definition(value).type === 'literal',
    );
    return literals.every(([key, value]) => (definition(value).values as unknown[]).includes(raw[key]));
  });
}

/** Whether a value that isn't written would be of use. */
function suits(path: FieldPath, raw: unknown): boolean {
  if (!isMapping(raw)) return true;
  const [part, name] = path;
  if (part === 'section' && path.length === 2) {
    const section = isMapping(raw.section) ? raw.section.name : raw.section;
    return typeof section !== 'string' || sectionUses(section, String(name));
  }
  const row = part === 'rows' && isMapping(raw.rows) ? raw.rows[name] : undefined;
  if (!isMapping(row)) return true;
  const key = path.at(-1);
  const round = CUTS.get((row.cut ?? 'round-brilliant') as never)?.round ?? true;
  if (key === 'length' && path.length === 3) return !round;
  if (key === 'set-depth') {
    const style = isMapping(row.setting) ? row.setting.style : undefined;
    return !SETTING_STYLES.some((s) => s === style && settingAsks(s).tablesLevel);
  }
  return true;
}
