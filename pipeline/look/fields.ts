/** The measures, choices and texts of a band's template as fields, each with its place in a file. */
import { type BandSource, originOf } from '../plan/band-source.ts';
import { mergeLayers } from '../plan/layers.ts';
import { isMapping } from '../plan/raw-merge.ts';
import { type TemplateField, templateFields } from '../plan/template-fields.ts';
import type { FieldPath } from '../plan/yaml-source.ts';
import type { TexturePattern } from '../trade/textures.ts';
import { tradeWords } from '../trade/words.ts';
import type { Locale } from '../words/locale.ts';
import type { Field } from './contract.ts';

/** Fields of a band in the order of a template. What an axis of metals or stones decides is chosen there and no field. */
export function fieldsOf(source: BandSource, locale: Locale): Field[] {
  const raw = mergeLayers(source.layers);
  return templateFields(raw)
    .filter(({ path }) => !decidedElsewhere(source, path))
    .map((field) => fieldOf(field, source, raw, locale));
}

export const idOf = (path: FieldPath) => path.join('.');

function decidedElsewhere({ decided }: BandSource, path: FieldPath): boolean {
  const key = path.at(-1);
  return (key === 'alloy' && decided.metal !== undefined) || (key === 'stone' && decided.stone !== undefined);
}

function fieldOf(field: TemplateField, source: BandSource, raw: unknown, locale: Locale): Field {
  const { path, kind, measure } = field;
  const { file, line, column, path: at, written } = originOf(source, path);
  const words = field.words ?? namesFor(path, raw);
  const { least, most } = measure ?? field;
  return {
    id: idOf(path),
    label: labelOf(path, locale),
    group: groupOf(path, locale),
    kind: words && kind === 'text' ? 'choice' : kind,
    text: textOf(field),
    ...(measure && { unit: measure.unit }),
    ...(least !== undefined && { least }),
    ...(most !== undefined && { most }),
    ...(measure && { step: stepOf(measure.unit, least, most) }),
    ...(words && { choices: words.map((value) => ({ value, label: wordFor(path, value, locale) })) }),
    written,
    origin: { file, line, column, path: [...at] },
  };
}

/** As written in a file; a width that the grid decides is told as the design has it. */
function textOf({ raw, usual }: TemplateField): string {
  return raw === undefined || raw === null ? (usual ?? '') : String(raw);
}

function stepOf(unit: string, least = 0, most = 20): number {
  if (unit === 'mm') return most - least > 1.5 ? 0.05 : 0.01;
  return unit === 'px' || unit === 'deg' || unit === '%' ? 1 : 0.05;
}

/** Parts of the template that a text names. */
function namesFor(path: FieldPath, raw: unknown): string[] | undefined {
  const key = path.at(-1);
  if (key !== 'lane' && key !== 'bed') return undefined;
  return isMapping(raw) && isMapping(raw.lanes) ? Object.keys(raw.lanes) : undefined;
}

/** A name of the template’s maker as a label. */
const asLabel = (name: string) => (name[0]?.toUpperCase() ?? '') + name.slice(1).replaceAll('-', ' ');

const filled = (text: string, name: string) => text.replace('{name}', name);

function groupOf([part, name]: FieldPath, { messages }: Locale): string {
  const { groups } = messages.shaping;
  const group = groups[part as keyof typeof groups] ?? groups.band;
  return filled(group, String(name));
}

/** The words for a key: those of the key within its part before those of the key alone. */
function labelOf(path: FieldPath, { messages }: Locale): string {
  const { fields, parts, sides } = messages.shaping;
  // the template's own name, as its maker wrote it
  if (path[0] === 'let') return asLabel(String(path[1]));
  const keys = path.filter((key) => typeof key === 'string');
  const number = path.find((key) => typeof key === 'number');
  const key = keys.at(-1) ?? '';
  const within = [`${keys.at(-2)}.${key}`, `${keys[0]}.${key}`, key];
  const listed = number !== undefined && key === 'coverage' ? ['coverage.item'] : [];
  const found = [...listed, ...within].find((k) => Object.hasOwn(fields, k));
  const label = found ? fields[found as keyof typeof fields] : key;
  const named = ['lanes', 'seams', 'rows'].includes(keys[0]) ? keys.slice(2, -1) : keys.slice(1, -1);
  const part = named.flatMap((k) => parts[k as keyof typeof parts] ?? [])[0];
  const edge = key === 'edge' || key === 'dome' ? [sides.first, sides.second][number ?? 2] : undefined;
  const count = edge ?? (number === undefined ? undefined : String(number + 1));
  return [part === undefined ? label : `${part}: ${label}`, count].filter(Boolean).join(' ');
}

function wordFor(path: FieldPath, value: string, { language, messages }: Locale): string {
  const words = tradeWords(language);
  const { choices, sides } = messages.shaping;
  switch (path.at(-1)) {
    case 'alloy':
      return words.alloyLabel(value);
    case 'finish':
      return words.finish(value);
    case 'pattern':
      return words.textures[value as TexturePattern];
    case 'stone':
      return words.stoneLabel(value);
    case 'cut':
      return words.cut(value as Parameters<typeof words.cut>[0]);
    case 'lane':
    case 'bed':
      return value;
    case 'name':
      return messages.bench.sections[value as keyof typeof messages.bench.sections] ?? value;
  }
  return choices[value as keyof typeof choices] ?? sides[value as keyof typeof sides] ?? value;
}
