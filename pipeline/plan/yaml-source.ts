import {
  type Alias,
  Composer,
  type Document,
  isAlias,
  isMap,
  isScalar,
  isSeq,
  LineCounter,
  type Node,
  visit,
  YAMLParseError,
} from 'yaml';
import { type Place, type Problem, ProblemError } from '../problem.ts';
import { DEEPEST, MOST_VALUES, type Token, tokensOf } from './yaml-tokens.ts';

export type FieldPath = readonly (string | number)[];

/** A YAML file as plain values, with the place of every value and key. */
export interface YamlSource {
  file: string;
  raw: unknown;
  placeOf(path: FieldPath): Place | undefined;
  keyPlaceOf(path: FieldPath): Place | undefined;
}

const MOST_CHARACTERS = 1_000_000;
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

/** As `parseDocument` of the library, of a text that has been cut into tokens. */
function composed(tokens: readonly Token[], length: number): Document {
  // keys that are alike are looked for here: the library compares every key with every other
  const composer = new Composer({ version: '1.2', strict: true, uniqueKeys: false });
  const [doc, second] = composer.compose(tokens, true, length);
  if (second) {
    const [from, to] = second.range;
    doc.errors.push(new YAMLParseError([from, to], 'MULTIPLE_DOCS', 'several documents in one file'));
  }
  return doc as unknown as Document;
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

/** Tokens of a text that is neither slow nor dangerous to compose. */
function boundedTokens(text: string, file: string, lines: LineCounter): Token[] {
  if (text.length > MOST_CHARACTERS) {
    const limit = `at most ${MOST_CHARACTERS} characters`;
    const place = { file, line: 1, column: 1 };
    throw new ProblemError([
      problem('yaml-too-large', limit, `${text.length}`, 'Split the catalogue.', place),
    ]);
  }
  const tokens = tokensOf(text, lines);
  if (typeof tokens !== 'number') return tokens;
  const before = text.slice(0, tokens);
  const place = { file, line: before.split('\n').length, column: tokens - before.lastIndexOf('\n') };
  throw new ProblemError([
    problem(
      'yaml-too-large',
      `at most ${MOST_VALUES} values nested ${DEEPEST} deep`,
      'more',
      'Check brackets and dashes, and whether this is a config at all; list less in one file.',
      place,
    ),
  ]);
}

/**
 * Reads YAML 1.2 text.
 * @throws ProblemError with every syntax problem, each at its line and column
 */
export function readYaml(text: string, file: string): YamlSource {
  const lines = new LineCounter();
  const place = (offset: number): Place => {
    const { line, col } = lines.linePos(offset);
    return { file, line: Math.max(1, line), column: Math.max(1, col) };
  };
  const doc = composed(boundedTokens(text, file, lines), text.length);
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
