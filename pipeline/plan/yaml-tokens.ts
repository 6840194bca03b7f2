/** YAML as the library's lexer and parser cut it up, within bounds in which the composer can take it. */
import { type CST, Lexer, type LineCounter, Parser } from 'yaml';

export type Token = CST.Token;

export const MOST_VALUES = 50_000;
/** Tokens of the lexer; a value has mostly four to six, with its key, colon, spaces and the line’s end. */
const MOST_TOKENS = 6 * MOST_VALUES;
export const DEEPEST = 40;

/**
 * Cuts a text into the parser's tokens, or tells the offset of the first one that is nested deeper than is allowed, or at
 * which there are too many. The composer recurses, and V8 aborts the whole process when a regular expression is compiled
 * on a nearly full stack, so depth is measured before it and without recursion: of brackets and dashes before anything
 * is parsed, and of the rest on what the parser makes of them.
 */
export function tokensOf(text: string, lines: LineCounter): Token[] | number {
  const lexemes = lexemesOf(text);
  if (typeof lexemes === 'number') return lexemes;
  const parser = new Parser(lines.addNewLine);
  lines.addNewLine(0);
  const tokens: Token[] = [];
  for (const lexeme of lexemes) tokens.push(...parser.next(lexeme));
  tokens.push(...parser.end());
  return tooDeep(tokens) ?? tokens;
}

/** What the lexer adds to the text: marks of where texts, documents and brackets end or begin. */
const MARKS = new Set(['\u0002', '\u0018', '\u001f', '\ufeff']);

function lexemesOf(text: string): string[] | number {
  const lexemes: string[] = [];
  let offset = 0;
  let count = 0;
  let brackets = 0;
  let dashes = 0;
  for (const lexeme of new Lexer().lex(text)) {
    lexemes.push(lexeme);
    if (MARKS.has(lexeme)) continue;
    if (lexeme === '[' || lexeme === '{') brackets++;
    else if (lexeme === ']' || lexeme === '}') brackets--;
    else if (lexeme === '-') dashes++;
    else if (lexeme.endsWith('\n')) dashes = 0;
    if (Math.max(brackets, dashes) > DEEPEST || ++count > MOST_TOKENS) return offset;
    offset += lexeme.length;
  }
  return lexemes;
}

function tooDeep(tokens: readonly Token[]): number | undefined {
  const pending = tokens.map((token) => ({ token: token as unknown, depth: 0 }));
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
