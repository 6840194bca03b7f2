import * as z from 'zod';
import { MEASURE_FIELDS, type MeasureField } from '../../pipeline/plan/measure.ts';
import { cell } from './markdown.ts';

/** JSON Schema as far as it is read here. */
interface Node {
  type?: string | string[];
  properties?: Record<string, Node>;
  required?: string[];
  additionalProperties?: Node | boolean;
  propertyNames?: Node;
  items?: Node | boolean;
  prefixItems?: Node[];
  anyOf?: Node[];
  oneOf?: Node[];
  enum?: unknown[];
  const?: unknown;
  default?: unknown;
  description?: string;
  title?: string;
  pattern?: string;
  format?: string;
  minimum?: number;
  maximum?: number;
  minItems?: number;
  maxItems?: number;
  maxLength?: number;
  measure?: MeasureField;
}

/** One key of a kind of file. */
export interface Key {
  /** `shots[].view`, `lanes.<name>.alloy` */
  path: string;
  /** what may be written */
  takes: string;
  /** what counts if it is left out; `required` if it may not be */
  usual: string;
  about: string;
}

/** All keys of a schema in its order: a mapping first, then its keys. */
export function keysOf(schema: z.ZodType): Key[] {
  const json = z.toJSONSchema(schema, {
    io: 'input',
    reused: 'inline',
    override: ({ zodSchema, jsonSchema }) => {
      const measure = MEASURE_FIELDS.get(zodSchema as unknown as z.ZodType);
      if (measure) (jsonSchema as Node).measure = measure;
    },
  }) as Node;
  return below(json, '');
}

function below(node: Node, path: string): Key[] {
  const { properties, additionalProperties, items, propertyNames } = node;
  const keys: Key[] = [];
  for (const [name, child] of alike(properties ?? {})) {
    if (name === '$schema') continue;
    const at = path === '' ? name : `${path}.${name}`;
    keys.push(keyOf(at, child, node.required?.includes(name) ?? false), ...below(child, at));
  }
  if (typeof additionalProperties === 'object' && !isPlain(additionalProperties))
    keys.push(...below(additionalProperties, `${path}.<${propertyNames?.enum ? 'one of them' : 'name'}>`));
  if (typeof items === 'object') keys.push(...below(items, `${path}[]`));
  for (const choice of [...(node.anyOf ?? []), ...(node.oneOf ?? [])])
    keys.push(...below(choice, path + kindOf(choice)));
  return merged(keys);
}

/** `(kind: wave)`: what tells one form of a mapping from another. */
function kindOf({ properties }: Node): string {
  const told = Object.entries(properties ?? {}).find(([, child]) => child.const !== undefined);
  return told ? ` (${told[0]}: ${told[1].const})` : '';
}

const isPlain = ({ properties, items, anyOf, oneOf, additionalProperties }: Node) =>
  !properties && !items && !anyOf && !oneOf && !additionalProperties;

/** Many names of a table that take the same are one key: `origins.<stone>`. */
function alike(properties: Record<string, Node>): [name: string, child: Node][] {
  const entries = Object.entries(properties);
  const bare = ({ description: _, ...rest }: Node) => JSON.stringify(rest);
  if (entries.length < 8 || new Set(entries.map(([, child]) => bare(child))).size > 1) return entries;
  const shared = new Set(entries.map(([, child]) => child.description));
  const description = shared.size === 1 ? entries[0][1].description : undefined;
  return [[`<${entries[0][0]}, …>`, { ...entries[0][1], description }]];
}

/** Keys that several forms of a mapping share stand once. */
function merged(keys: Key[]): Key[] {
  const seen = new Set<string>();
  return keys.filter((key) => {
    const same = JSON.stringify(key);
    return !seen.has(same) && seen.add(same);
  });
}

function keyOf(path: string, node: Node, required: boolean): Key {
  const usual = node.default === undefined ? (required ? 'required' : '') : shown(node.default);
  return { path, takes: takesOf(node), usual, about: aboutOf(node) };
}

/** A mapping's own words, or those of the only form it has. */
function aboutOf({ description, title, anyOf }: Node): string {
  return description ?? title ?? anyOf?.find((c) => c.description)?.description ?? '';
}

const shown = (value: unknown) =>
  typeof value === 'object' && value !== null && Object.keys(value).length === 0
    ? ''
    : `\`${typeof value === 'string' ? value : JSON.stringify(value)}\``;

const TYPE_WORDS: Record<string, string> = { number: 'a number', string: 'text', boolean: '`true`, `false`' };

function takesOf(node: Node): string {
  const { measure, anyOf, oneOf, type, items } = node;
  if (measure) return measureText(measure);
  if (node.const !== undefined) return shown(node.const);
  if (node.enum)
    return node.enum.length > 14 ? `a name of ${node.enum.length}` : node.enum.map(shown).join(', ');
  const choices = anyOf ?? oneOf;
  if (choices) return [...new Set(choices.map(takesOf))].filter(Boolean).join('; or ');
  if (Array.isArray(type)) return [...type].map((one) => TYPE_WORDS[one] ?? one).join(' or ');
  if (type === 'array') return listText(node, typeof items === 'object' ? takesOf(items) : '');
  if (type === 'object') return 'a mapping';
  if (type === 'boolean') return '`true`, `false`';
  if (type === 'integer' || type === 'number') return numberText(node);
  if (type === 'string') return node.maxLength ? `text of at most ${node.maxLength} characters` : 'text';
  return 'anything';
}

function listText({ minItems, maxItems, prefixItems }: Node, of: string): string {
  if (prefixItems) return `a list of ${prefixItems.length}: ${takesOf(prefixItems[0])}`;
  const counts = maxItems === undefined ? '' : ` of ${minItems ?? 0} to ${maxItems}`;
  return `a list${counts}${of && of !== 'a mapping' ? `: ${of}` : of ? ' of mappings' : ''}`;
}

function numberText({ type, minimum, maximum }: Node): string {
  const what = type === 'integer' ? 'a whole number' : 'a number';
  const most = maximum === undefined || maximum >= Number.MAX_SAFE_INTEGER ? '' : ` to ${maximum}`;
  const least = minimum === undefined || minimum <= Number.MIN_SAFE_INTEGER ? '' : ` from ${minimum}`;
  return what + least + most;
}

function measureText({ unit, least, most }: MeasureField): string {
  if (unit === 'mm or %') return '`mm`, `%` of the width, or `50 % - 1 mm`';
  if (unit === 'mm or f/') return '`f/2` to `f/128`, or the opening in `mm`';
  return `\`${plain(least)}\` to \`${plain(most)} ${unit}\``;
}

const plain = (value = 0) => String(Number(value.toPrecision(6)));

/** Keys as tables, one for each key of the file itself. */
export function keyTables(keys: readonly Key[], examples: ReadonlyMap<string, string>): string {
  const heads = [...new Set(keys.map(({ path }) => headOf(path)))];
  return heads
    .map((head) => {
      const rows = keys.filter(({ path }) => headOf(path) === head);
      const lines = rows.map(({ path, takes, usual, about }) =>
        [`\`${path}\``, takes, usual, about, /^`[^`]*`$/.test(takes) ? '' : example(examples, path)]
          .map(cell)
          .join(' | '),
      );
      return `#### ${head}\n\n| key | takes | if left out | what it is | example |\n| --- | --- | --- | --- | --- |\n${lines.map((l) => `| ${l} |`).join('\n')}\n`;
    })
    .join('\n');
}

const headOf = (path: string) => path.split(/[.[ ]/)[0];

const example = (examples: ReadonlyMap<string, string>, path: string) => {
  const found = examples.get(generic(path));
  return found === undefined ? '' : `\`${found}\``;
};

/** A path with all names of one's own alike, so that a file's values find their key. */
export const generic = (path: string) => path.replace(/ \([^)]*\)/g, '').replace(/<[^>]*>/g, '*');
