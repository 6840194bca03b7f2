import {
  type Alias,
  type Document,
  isAlias,
  isMap,
  isScalar,
  isSeq,
  Lexer,
  LineCounter,
  type Node,
  Parser,
  parseDocument,
  visit,
} from 'yaml';
import { type Place, type Problem, ProblemError } from '../problem.ts';

export type FieldPath = readonly (string | number)[];

/** A YAML file as plain values, with the place of every value and key. */
export interface YamlSource {
  file: string;
  raw: unknown;
  placeOf(path: FieldPath): Place | undefined;
  keyPlaceOf(path: FieldPath): Place | undefined;
}

const MOST_CHARACTERS = 1_000_000;
const MOST_VALUES = 50_000;
/** Tokens of the lexer; a value has mostly four to six, with its key, colon, spaces and the line’s end. */
const MOST_TOKENS = 6 * MOST_VALUES;
const DEEPEST = 40;
/** Broken syntax is reported this many times: later reports mostly follow from earlier ones. */
const MOST_BROKEN = 20;

const ADVICE: Readonly<Record<string, string>> = {
  TAB_AS_INDENT: 'Indent with spaces: YAML does not allow tabs there.',
  BAD_INDENT: 'Line the keys of one mapping up under each other.',
  MISSING_CHAR: 'Close the quote or bracket that was opened before this place.',
  MULTIPLE_DOCS: 'Keep one document a file: remove the "---" line.',
  BLOCK_AS_IMPLICIT_KEY:
    'Line this up with the key above, which has its value beside it; or put nested keys on lines of their own under their key.',
  TAG_RESOLVE_FAILED: 'Remove the tag: plain text, numbers, lists and mappings are enough here.',
};

function key(path: FieldPath): string {
  return JSON.stringify(path);
}

/** Turns nodes into plain values; aliases are followed within bounds, so no file can swell or loop. */
class Unfolding {
  readonly places = new Map<string, Place>();
  readonly keyPlaces = new Map<string, Place>();
  readonly problems: Problem[] = [];
  private values = 0;
  private stopped = false;
  private readonly targets: ReadonlyMap<Alias, Node>;
  private readonly place: (offset: number) => Place;

  constructor(targets: ReadonlyMap<Alias, Node>, place: (offset: number) => Place) {
    this.targets = targets;
    this.place = place;
  }

  refuse(code: string, node: Node | null, expected: string, received: string, advice: string): undefined {
    this.report(code, node, expected, received, advice);
    this.stopped = true;
    return undefined;
  }

  private report(code: string, node: Node | null, expected: string, received: string, advice: string): void {
    const place = this.place(node?.range?.[0] ?? 0);
    if (this.problems.length < MOST_BROKEN)
      this.problems.push(problem(code, expected, received, advice, place));
  }

  unfold(node: Node | null, path: FieldPath): unknown {
    if (this.stopped || node === null) return null;
    if (++this.values > MOST_VALUES || path.length > DEEPEST) {
      const limit = `at most ${MOST_VALUES} values nested ${DEEPEST} deep`;
      return this.refuse(
        'yaml-too-large',
        node,
        limit,
        'more',
        'Check aliases (*name) that repeat themselves.',
      );
    }
    if (node.range) this.places.set(key(path), this.place(node.range[0]));
    if (isAlias(node)) return this.follow(node, path);
    if (isMap(node)) return this.unfoldMap(node, path);
    if (isSeq(node)) return node.items.map((item, i) => this.unfold(item as Node | null, [...path, i]));
    if (isScalar(node)) return this.scalar(node, path);
    return this.refuse(
      'yaml-unreadable',
      node,
      'a value',
      'something else',
      'Write text, a number or a list.',
    );
  }

  private follow(node: Node, path: FieldPath): unknown {
    const target = isAlias(node) ? this.targets.get(node) : undefined;
    if (target) return this.unfold(target, path);
    const name = isAlias(node) ? `*${node.source}` : 'an alias';
    return this.refuse(
      'yaml-alias',
      node,
      'an anchor (&name) above its alias',
      name,
      'Define it before use.',
    );
  }

  private scalar(node: Node, path: FieldPath): unknown {
    const value = isScalar(node) ? node.value : undefined;
    if (value === null || ['string', 'number', 'boolean'].includes(typeof value)) return value;
    const expected = 'text, a number or true/false';
    return this.refuse(
      'yaml-tag',
      node,
      expected,
      `a ${typeof value} at depth ${path.length}`,
      'Remove the tag.',
    );
  }

  private unfoldMap(node: Node, path: FieldPath): Record<string, unknown> | undefined {
    const out: Record<string, unknown> = {};
    if (!isMap(node)) return out;
    for (const pair of node.items) {
      const keyNode = pair.key as Node | null;
      const name = isScalar(keyNode) ? String(keyNode.value) : undefined;
      if (name === undefined || name === '__proto__')
        return this.refuse(
          'yaml-key',
          keyNode ?? node,
          'a plain word as key',
          name ?? 'a list or mapping',
          'Rename it.',
        );
      if (Object.hasOwn(out, name))
        this.report(
          'duplicate-key',
          keyNode,
          'keys that differ',
          JSON.stringify(name.slice(0, 60)),
          'Keep one of the two; the later one would silently win.',
        );
      const at = [...path, name];
      if (keyNode?.range) this.keyPlaces.set(key(at), this.place(keyNode.range[0]));
      out[name] = this.unfold(pair.value as Node | null, at);
    }
    return out;
  }
}

/** What each alias stands for: the latest node of its name before it. The library looks through all of them each time. */
function aliasTargets(contents: Node | null): Map<Alias, Node> {
  const anchored = new Map<string, Node>();
  const targets = new Map<Alias, Node>();
  if (contents)
    visit(contents, {
      Node(_, node) {
        if (isAlias(node)) {
          const target = anchored.get(node.source);
          if (target) targets.set(node, target);
        } else if (node.anchor) anchored.set(node.anchor, node);
      },
    });
  return targets;
}

/** What the lexer adds to the text: marks of where texts, documents and brackets end or begin. */
const MARKS = new Set(['\u0002', '\u0018', '\u001f', '\ufeff']);

/**
 * Offset of the first token nested deeper than is allowed, or at which there are too many. The composer recurses, and V8
 * aborts the whole process when a regular expression is compiled on a nearly full stack, so depth is measured
 * beforehand and without recursion: of brackets and dashes while the text is cut into tokens, of which none is kept, and
 * of the rest on the parser's tokens.
 */
function beyondBounds(text: string): number | undefined {
  return tooManyTokens(text) ?? tooDeep(text);
}

function tooManyTokens(text: string): number | undefined {
  let offset = 0;
  let tokens = 0;
  let brackets = 0;
  let dashes = 0;
  for (const token of new Lexer().lex(text)) {
    if (MARKS.has(token)) continue;
    if (token === '[' || token === '{') brackets++;
    else if (token === ']' || token === '}') brackets--;
    else if (token === '-') dashes++;
    else if (token.endsWith('\n')) dashes = 0;
    if (Math.max(brackets, dashes) > DEEPEST || ++tokens > MOST_TOKENS) return offset;
    offset += token.length;
  }
  return undefined;
}

function tooDeep(text: string): number | undefined {
  const pending = [...new Parser().parse(text)].map((token) => ({ token: token as unknown, depth: 0 }));
  for (let next = pending.pop(); next; next = pending.pop()) {
    const { token, depth } = next;
    if (typeof token !== 'object' || token === null) continue;
    const { offset, items, value, key } = token as Partial<Record<string, unknown>>;
    if (depth > 2 * DEEPEST) return typeof offset === 'number' ? offset : 0;
    const inner = [value, key, ...(Array.isArray(items) ? items : [])];
    for (const t of inner) pending.push({ token: t, depth: depth + 1 });
  }
  return undefined;
}

function problem(code: string, expected: string, received: string, advice: string, place: Place): Problem {
  return { code, severity: 'error', path: '(file)', expected, received, advice, place };
}

function syntaxProblems(doc: Document, place: (offset: number) => Place): Problem[] {
  // of several at one place the later ones only follow from the first
  const places = new Set<number>();
  const first = [...doc.errors, ...doc.warnings].filter(({ pos: [at] }) => !places.has(at) && places.add(at));
  return first.slice(0, MOST_BROKEN).map((e) => {
    const code = `yaml-${e.code.toLowerCase().replaceAll('_', '-')}`;
    const received = e.message.split('\n')[0].replace(/\.$/, '');
    return problem(
      code,
      'well-formed YAML',
      received,
      ADVICE[e.code] ?? 'Mend the YAML at this place.',
      place(e.pos[0]),
    );
  });
}

/** Refuses text that would be slow or dangerous to parse. */
function boundsProblem(text: string, file: string): Problem | undefined {
  if (text.length > MOST_CHARACTERS) {
    const limit = `at most ${MOST_CHARACTERS} characters`;
    const place = { file, line: 1, column: 1 };
    return problem('yaml-too-large', limit, `${text.length}`, 'Split the catalogue.', place);
  }
  const deep = beyondBounds(text);
  if (deep === undefined) return undefined;
  const before = text.slice(0, deep);
  const place = { file, line: before.split('\n').length, column: deep - before.lastIndexOf('\n') };
  return problem(
    'yaml-too-large',
    `at most ${MOST_VALUES} values nested ${DEEPEST} deep`,
    'more',
    'Check brackets and dashes, and whether this is a config at all; list less in one file.',
    place,
  );
}

/**
 * Reads YAML 1.2 text.
 * @throws ProblemError with every syntax problem, each at its line and column
 */
export function readYaml(text: string, file: string): YamlSource {
  const outOfBounds = boundsProblem(text, file);
  if (outOfBounds) throw new ProblemError([outOfBounds]);
  const lines = new LineCounter();
  const place = (offset: number): Place => {
    const { line, col } = lines.linePos(offset);
    return { file, line: Math.max(1, line), column: Math.max(1, col) };
  };
  const doc = parseDocument(text, {
    lineCounter: lines,
    prettyErrors: false,
    version: '1.2',
    strict: true,
    // looked for here: the library compares every key with every other
    uniqueKeys: false,
  });
  const broken = syntaxProblems(doc, place);
  if (broken.length > 0) throw new ProblemError(broken);
  const contents = doc.contents as Node | null;
  const unfolding = new Unfolding(aliasTargets(contents), place);
  if (contents === null)
    unfolding.refuse('yaml-empty', null, 'YAML', 'an empty file', 'Write into it, or name another file.');
  const raw = unfolding.unfold(contents, []);
  if (unfolding.problems.length > 0) throw new ProblemError(unfolding.problems);
  return {
    file,
    raw,
    placeOf: (path) => unfolding.places.get(key(path)),
    keyPlaceOf: (path) => unfolding.keyPlaces.get(key(path)),
  };
}
