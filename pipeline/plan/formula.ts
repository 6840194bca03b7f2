import { isMapping } from './raw-merge.ts';

/**
 * Values that follow others, as they are written in templates: `2.2 mm + 4 % of size`, `swing`,
 * `2 * (swing - 0.1 mm)`, `round(size / 9 mm)`. A formula is made of figures with their units, names, + - * /, brackets,
 * a percentage "of" something, and `round`, `least` and `most`. What it comes to is written out with its unit and read as
 * any other value.
 */

/** A figure by its unit; a bare number has none. */
export interface Quantity {
  value: number;
  unit: Unit;
}

const UNITS = ['mm', 'deg', '%', ''] as const;
type Unit = (typeof UNITS)[number];

/** What parts of a formula come to: shares of a width keep beside them the mm that are added to them. */
type Sum = ReadonlyMap<Unit, number>;

/** What keeps a formula from coming to anything: a name that nothing has, or units that do not go together. */
export type FormulaFault = { unknown: string } | { units: string[] } | { nothing: string };

/** Thrown within this file only: a text is no formula, or a formula comes to nothing. */
class Told<T> extends Error {
  readonly what: T;

  constructor(what: T) {
    super('no formula');
    this.what = what;
  }
}

const fault = (what: FormulaFault) => new Told(what);

/** What `work` gives, or what it threw as told. */
function orTold<T, W>(work: () => T): T | W {
  try {
    return work();
  } catch (error) {
    if (error instanceof Told) return error.what;
    throw error;
  }
}

type Known = ReadonlyMap<string, Quantity>;
type Part = (known: Known) => Sum;

export interface Formula {
  /** everything that it names */
  names: string[];
  value: Part;
}

/** A text that is no formula, and why: at which of its characters, from 1, what should stand there. */
export interface Slip {
  at: number;
  wanted: string;
}

const TOKEN = /\s*(?:(\d+\.?\d*|\.\d+)\s*(mm|deg|°|%)?|([a-z][a-z0-9-]*)|([-+*×/(),]))/y;

interface Token {
  at: number;
  figure?: Quantity;
  name?: string;
  sign?: string;
}

function tokensOf(text: string): Token[] | Slip {
  const tokens: Token[] = [];
  const end = text.trimEnd().length;
  TOKEN.lastIndex = 0;
  while (TOKEN.lastIndex < end) {
    const from = TOKEN.lastIndex;
    const found = TOKEN.exec(text);
    const at = from + (/^\s*/.exec(text.slice(from))?.[0].length ?? 0) + 1;
    if (!found) return { at, wanted: 'a figure, a name or a sign' };
    const [, figure, unit, name, sign] = found;
    if (figure !== undefined)
      tokens.push({
        at,
        figure: { value: Number(figure), unit: (unit === '°' ? 'deg' : (unit ?? '')) as Unit },
      });
    else tokens.push({ at, ...(name === undefined ? { sign } : { name }) });
  }
  tokens.push({ at: end + 1 });
  return tokens;
}

/** Deeper brackets are a slip, and would cost the reader its stack. */
const DEEPEST = 20;

/** Reads by recursive descent: sums of products of figures, names and brackets. */
class Reader {
  readonly names: string[] = [];
  private next = 0;
  private depth = 0;
  private readonly tokens: readonly Token[];

  constructor(tokens: readonly Token[]) {
    this.tokens = tokens;
  }

  whole(): Part {
    const value = this.sum();
    this.expect(this.here.figure || this.here.name || this.here.sign ? 'one of + - * /' : undefined);
    return value;
  }

  private get here(): Token {
    return this.tokens[this.next];
  }

  private expect(wanted: string | undefined): void {
    if (wanted !== undefined) throw new Told<Slip>({ at: this.here.at, wanted });
  }

  private takes(...signs: string[]): string | undefined {
    const { sign } = this.here;
    if (sign === undefined || !signs.includes(sign)) return undefined;
    this.next++;
    return sign;
  }

  private sum(): Part {
    const first = this.takes('-', '+') === '-' ? scaled(this.product(), -1) : this.product();
    const parts = [first];
    for (let sign = this.takes('+', '-'); sign; sign = this.takes('+', '-')) {
      const part = this.product();
      parts.push(sign === '-' ? scaled(part, -1) : part);
    }
    return parts.length === 1 ? first : (known) => parts.map((part) => part(known)).reduce(added);
  }

  private product(): Part {
    let left = this.factor();
    for (let sign = this.takes('*', '×', '/'); sign; sign = this.takes('*', '×', '/')) {
      const [a, b, divides] = [left, this.factor(), sign === '/'];
      left = (known) => (divides ? divided(a(known), b(known)) : multiplied(a(known), b(known)));
    }
    return left;
  }

  private factor(): Part {
    const { figure, name } = this.here;
    if (figure) {
      this.next++;
      if (figure.unit !== '%' || this.here.name !== 'of') return () => new Map([[figure.unit, figure.value]]);
      this.next++;
      return scaled(this.factor(), figure.value / 100);
    }
    if (name !== undefined) {
      this.next++;
      if (this.here.sign === '(' && name in FUNCTIONS) return this.called(name as keyof typeof FUNCTIONS);
      this.names.push(name);
      return (known) => named(known, name);
    }
    if (!this.takes('(')) this.expect('a figure, a name or a bracket');
    return this.bracketed(() => this.sum());
  }

  private bracketed<T>(inner: () => T): T {
    if (++this.depth > DEEPEST) this.expect('fewer brackets');
    const value = inner();
    if (!this.takes(')')) this.expect('")"');
    this.depth--;
    return value;
  }

  private called(name: keyof typeof FUNCTIONS): Part {
    this.takes('(');
    return this.bracketed(() => {
      const parts = [this.sum()];
      while (this.takes(',')) parts.push(this.sum());
      return (known: Known) => {
        const own = parts.map((part) => single(part(known)));
        const units = [...new Set(own.map(({ unit }) => unit))];
        if (units.length > 1) throw fault({ units: told(units) });
        return new Map([[units[0], FUNCTIONS[name](own.map(({ value }) => value))]]);
      };
    });
  }
}

const FUNCTIONS = {
  round: (values: number[]) => Math.round(values[0]),
  least: (values: number[]) => Math.min(...values),
  most: (values: number[]) => Math.max(...values),
};

const told = (units: readonly Unit[]) => units.map((u) => u || 'none');

function named(known: Known, name: string): Sum {
  const own = known.get(name);
  if (!own) throw fault({ unknown: name });
  return new Map([[own.unit, own.value]]);
}

const mapped = (sum: Sum, by: number): Sum => new Map([...sum].map(([unit, value]) => [unit, value * by]));

const scaled =
  (part: Part, by: number): Part =>
  (known) =>
    mapped(part(known), by);

function added(a: Sum, b: Sum): Sum {
  const out = new Map(a);
  for (const [unit, value] of b) out.set(unit, (out.get(unit) ?? 0) + value);
  return out;
}

/** What is of one unit. */
function single(sum: Sum): Quantity {
  const [[unit, value], ...more] = sum;
  if (more.length > 0) throw fault({ units: told([...sum.keys()]) });
  return { unit, value };
}

const isBare = (sum: Sum) => sum.size === 1 && sum.has('');

function multiplied(a: Sum, b: Sum): Sum {
  if (!isBare(a) && !isBare(b)) throw fault({ units: told([single(a).unit, single(b).unit]) });
  return isBare(a) ? mapped(b, single(a).value) : mapped(a, single(b).value);
}

function divided(a: Sum, b: Sum): Sum {
  const by = single(b);
  if (by.value === 0) throw fault({ nothing: 'a division by zero' });
  if (by.unit === '') return mapped(a, 1 / by.value);
  const own = single(a);
  if (own.unit !== by.unit) throw fault({ units: told([own.unit, by.unit]) });
  return new Map([['', own.value / by.value]]);
}

/**
 * A formula; a slip if the text cannot be one; undefined if it is a plain value such as `4.5 mm` or `50 % - 1.1 mm`, which
 * is read as it stands.
 */
export function readFormula(text: string): Formula | Slip | undefined {
  if (PLAIN.test(text)) return undefined;
  const tokens = tokensOf(text);
  if (!Array.isArray(tokens)) return tokens;
  return orTold<Formula, Slip>(() => {
    const reader = new Reader(tokens);
    const value = reader.whole();
    return { names: [...new Set(reader.names)], value };
  });
}

const FIGURE = String.raw`[+-]?(?:\d+\.?\d*|\.\d+)\s*(?:mm|deg|°|%)?`;
const PLAIN = new RegExp(String.raw`^\s*(?:${FIGURE}|[\d.]+\s*%\s*[+-]\s*[\d.]+\s*mm)?\s*$`);

/** A figure as files have it; undefined if it is none. */
export function readQuantity(written: unknown): Quantity | undefined {
  if (typeof written === 'number') return { value: written, unit: '' };
  const found = typeof written === 'string' ? QUANTITY.exec(written) : null;
  if (!found) return undefined;
  return { value: Number(found[1]), unit: (found[2] === '°' ? 'deg' : (found[2] ?? '')) as Unit };
}

const QUANTITY = /^\s*([+-]?(?:\d+\.?\d*|\.\d+))\s*(mm|deg|°|%)?\s*$/;

/** The value of a formula, as it would be written without one. */
export function formulaValue(formula: Formula, known: Known): string | number | FormulaFault {
  return orTold<string | number, FormulaFault>(() => writtenOut(formula.value(known)));
}

function writtenOut(sum: Sum): string | number {
  const figure = (unit: Unit) => Number((sum.get(unit) as number).toFixed(6)) + 0;
  const units = [...sum.keys()].sort((a, b) => UNITS.indexOf(a) - UNITS.indexOf(b));
  if (!units.every((unit) => Number.isFinite(figure(unit)))) throw fault({ nothing: 'no number' });
  if (units.length === 1) return units[0] === '' ? figure('') : `${figure(units[0])} ${units[0]}`;
  // a place across the band: a share of the width, and so many mm more or less
  if (units.length !== 2 || units[0] !== 'mm' || units[1] !== '%') throw fault({ units: told(units) });
  const mm = figure('mm');
  return `${figure('%')} % ${mm < 0 ? '-' : '+'} ${Math.abs(mm)} mm`;
}

/** The same tree with another value at a path. */
export function withValue(
  raw: unknown,
  [key, ...rest]: readonly (string | number)[],
  value: unknown,
): unknown {
  if (key === undefined) return value;
  if (Array.isArray(raw)) return raw.map((each, i) => (i === key ? withValue(each, rest, value) : each));
  if (!isMapping(raw)) return raw;
  return { ...raw, [key]: withValue(raw[key], rest, value) };
}
