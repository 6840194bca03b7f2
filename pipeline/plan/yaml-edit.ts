import { isDeepStrictEqual } from 'node:util';
import {
  isAlias,
  isMap,
  isScalar,
  isSeq,
  type Node,
  type Pair,
  parseDocument,
  Scalar,
  type YAMLMap,
} from 'yaml';
import { type Problem, ProblemError, type Result } from '../problem.ts';
import { pathText } from './findings.ts';
import { isMapping } from './raw-merge.ts';
import { type FieldPath, readYaml } from './yaml-source.ts';

/** What one edit can write. */
export type YamlValue = string | number | boolean;

/** A text in which one value was changed, and where it stands now (lines and columns count from 1). */
export interface EditedYaml {
  text: string;
  line: number;
  column: number;
}

/** A piece of text put in place of another. */
interface Splice {
  from: number;
  to: number;
  by: string;
  /** where the value begins within `by` */
  value: number;
}

/**
 * The text with one value changed, or added where nothing was written: only the characters that must differ do, so
 * comments, order, quotes, blank lines and line ends stay. The library's nodes say where; the text itself is cut, since
 * writing the whole document anew would fold and space it the library's way.
 *
 * An alias, or a value that others repeat by alias, is refused: more than one value would change.
 * @param path keys from the root; mappings that are missing on the way are added
 */
export function editYaml(text: string, file: string, path: FieldPath, value: YamlValue): Result<EditedYaml> {
  const before = readYaml(text, file);
  const refuse = (node: Node | undefined, expected: string, received: string, advice: string) => {
    const at = text.slice(0, node?.range?.[0] ?? 0);
    const place = { file, line: at.split('\n').length, column: at.length - at.lastIndexOf('\n') };
    const problem: Problem = {
      code: 'cannot-edit',
      severity: 'error',
      path: pathText(path),
      expected,
      received,
      advice,
      place,
    };
    return { problems: [problem] };
  };
  const root = parseDocument(text, { version: '1.2', uniqueKeys: false }).contents as Node;
  let node = root;
  for (let depth = 0; ; depth++) {
    if (isAlias(node))
      return refuse(
        node,
        'a value of its own',
        `*${node.source}, which repeats another`,
        'Write it out in the file, then it can be changed by itself.',
      );
    if (depth === path.length) break;
    const next = childOf(node, path[depth]);
    if (next === undefined) {
      const splice = added(text, node, path.slice(depth), value);
      if (!splice)
        return refuse(node, 'a mapping to add it to', 'something else', 'Change it in the file by hand.');
      return proven(splice);
    }
    node = next;
  }
  if (!isScalar(node))
    return refuse(node, 'a single value', 'a list or mapping', 'Change it in the file by hand.');
  return proven(replaced(text, node, value));

  function proven({ from, to, by, value: offset }: Splice): Result<EditedYaml> {
    const edited = text.slice(0, from) + by + text.slice(to);
    const wanted = changed(before.raw, path, value);
    try {
      if (isDeepStrictEqual(readYaml(edited, file).raw, wanted)) {
        const head = edited.slice(0, from + offset);
        return { text: edited, line: head.split('\n').length, column: head.length - head.lastIndexOf('\n') };
      }
    } catch (error) {
      if (!(error instanceof ProblemError)) throw error;
    }
    return refuse(
      node,
      'a value that nothing else repeats',
      'one on which others hang (an anchor), or text in a form that is not understood here',
      'Change it in the file by hand.',
    );
  }
}

function pairOf(map: YAMLMap, key: string | number): Pair | undefined {
  return map.items.find((pair) => isScalar(pair.key) && String(pair.key.value) === String(key));
}

/** Undefined where the node has no such value, or an empty one. */
function childOf(node: Node, key: string | number): Node | undefined {
  if (isSeq(node)) return (node.items[Number(key)] as Node | null) ?? undefined;
  if (!isMap(node)) return undefined;
  const value = pairOf(node, key)?.value as Node | null | undefined;
  return value ?? undefined;
}

function changed(raw: unknown, [key, ...rest]: FieldPath, value: YamlValue): unknown {
  if (key === undefined) return value;
  if (Array.isArray(raw)) return raw.map((item, i) => (i === key ? changed(item, rest, value) : item));
  const map = isMapping(raw) ? raw : {};
  return { ...map, [String(key)]: changed(map[String(key)], rest, value) };
}

/** A value as YAML, quoted as the one before it was or where it must be. */
function written(value: YamlValue, inFlow: boolean, like?: Scalar.Type | null): string {
  if (typeof value !== 'string') return String(value);
  if (like === Scalar.QUOTE_SINGLE) return `'${value.replaceAll("'", "''")}'`;
  if (like === Scalar.QUOTE_DOUBLE || !isPlain(value, inFlow)) return JSON.stringify(value);
  return value;
}

/** Whether a text means itself without quotes. */
function isPlain(value: string, inFlow: boolean): boolean {
  const text = inFlow ? `{ k: ${value} }` : `k: ${value}`;
  const doc = parseDocument(text, { version: '1.2' });
  return doc.errors.length === 0 && isDeepStrictEqual(doc.toJS(), { k: value });
}

function replaced(text: string, node: Scalar, value: YamlValue): Splice {
  const [from, to] = node.range ?? [0, 0];
  // an empty value stands right behind its colon
  const gap = from === to && !/\s/.test(text[from - 1] ?? ' ') ? ' ' : '';
  const block = node.type === Scalar.BLOCK_FOLDED || node.type === Scalar.BLOCK_LITERAL;
  // quotes are safe in flow and block alike; of plain text the narrower rules of flow are asked
  const by = gap + written(value, true, node.type) + (block ? lineEnd(text) : '');
  return { from, to, by, value: gap.length };
}

/** `path` added to a mapping that lacks its first key, with all mappings below it; undefined if that is no mapping. */
function added(text: string, map: Node, path: FieldPath, value: YamlValue): Splice | undefined {
  if (path.some((key) => typeof key === 'number')) return undefined;
  const empty = isScalar(map) && map.value === null;
  if (!isMap(map) && !empty) return undefined;
  if (isMap(map) && map.flow) {
    const nested = path.reduceRight<string>(
      (inner, key, i) => (i === 0 ? `${key}: ${inner}` : `{ ${key}: ${inner} }`),
      written(value, true),
    );
    const last = map.items.at(-1);
    const start = (map.range?.[0] ?? 0) + 1;
    if (!last) return { from: start, to: start, by: ` ${nested} `, value: nested.lastIndexOf(': ') + 3 };
    const at = endOf(last) ?? start;
    return { from: at, to: at, by: `, ${nested}`, value: 2 };
  }
  const end = lineEnd(text);
  const indent = isMap(map) ? columnOf(text, map.range?.[0] ?? 0) : columnOf(text, lineStart(text, map)) + 2;
  const lines = path.map((key, i) => `${' '.repeat(indent + 2 * i)}${key}:`);
  const body = `${lines.join(end)} ${written(value, false)}`;
  const last = isMap(map) ? lastEnd(map) : map.range?.[0];
  if (last === undefined) return undefined;
  const at = text[last - 1] === '\n' ? last : nextLine(text, last);
  const open = at > 0 && text[at - 1] !== '\n' ? end : '';
  return {
    from: at,
    to: at,
    by: `${open}${body}${end}`,
    value: open.length + body.length - written(value, false).length,
  };
}

const lineEnd = (text: string) => (text.includes('\r\n') ? '\r\n' : '\n');

function nextLine(text: string, from: number): number {
  const end = text.indexOf('\n', from);
  return end < 0 ? text.length : end + 1;
}

const columnOf = (text: string, offset: number) => offset - (text.lastIndexOf('\n', offset - 1) + 1);

/** Offset of the key on the line of an empty value. */
function lineStart(text: string, node: Node): number {
  const begin = text.lastIndexOf('\n', (node.range?.[0] ?? 0) - 1) + 1;
  return begin + (/^[\s-]*/.exec(text.slice(begin))?.[0].length ?? 0);
}

/** Where the last value of a pair ends. */
function endOf({ key, value }: Pair): number | undefined {
  const node = (value ?? key) as Node | null;
  return node ? lastEnd(node) : undefined;
}

function lastEnd(node: Node): number | undefined {
  if (isMap(node) && !node.flow) {
    const last = node.items.at(-1);
    return last ? endOf(last) : node.range?.[1];
  }
  if (isSeq(node) && !node.flow) {
    const last = node.items.at(-1) as Node | Pair | null | undefined;
    if (last && 'range' in last) return lastEnd(last as Node);
  }
  return node.range?.[1];
}
