import ts from 'typescript';

/** One small change to a file's text. */
export interface Mutant {
  file: string;
  /** from 1 */
  line: number;
  start: number;
  end: number;
  from: string;
  to: string;
  /** the changed line as it stood, without its indent */
  text: string;
  /** which of the line's equal changes it is, from 1 */
  nth: number;
}

const COMPARED: Partial<Record<ts.SyntaxKind, readonly string[]>> = {
  [ts.SyntaxKind.LessThanToken]: ['<=', '>='],
  [ts.SyntaxKind.LessThanEqualsToken]: ['<', '>'],
  [ts.SyntaxKind.GreaterThanToken]: ['>=', '<='],
  [ts.SyntaxKind.GreaterThanEqualsToken]: ['>', '<'],
  [ts.SyntaxKind.EqualsEqualsEqualsToken]: ['!=='],
  [ts.SyntaxKind.ExclamationEqualsEqualsToken]: ['==='],
  [ts.SyntaxKind.PlusToken]: ['-'],
  [ts.SyntaxKind.MinusToken]: ['+'],
  [ts.SyntaxKind.AsteriskToken]: ['/'],
  [ts.SyntaxKind.SlashToken]: ['*'],
  [ts.SyntaxKind.AsteriskAsteriskToken]: ['*'],
  [ts.SyntaxKind.PercentToken]: ['*'],
  [ts.SyntaxKind.PlusEqualsToken]: ['-='],
  [ts.SyntaxKind.MinusEqualsToken]: ['+='],
  [ts.SyntaxKind.SlashEqualsToken]: ['*='],
  [ts.SyntaxKind.AsteriskEqualsToken]: ['/='],
};

const JOINED = [ts.SyntaxKind.AmpersandAmpersandToken, ts.SyntaxKind.BarBarToken];

const OTHER_MATH: Readonly<Record<string, string>> = {
  min: 'max',
  max: 'min',
  floor: 'ceil',
  ceil: 'floor',
  sin: 'cos',
  cos: 'sin',
};

/**
 * All mutants of a file: numbers 3.5 % up or down (small whole ones by 1, by turns of their place), comparisons
 * weakened and inverted, arithmetic swapped, booleans flipped, conditions dropped, `Math.min` for `Math.max` and the
 * like, a minus left out. Types, keys and strings are left alone.
 */
export function mutantsOf(file: string, source: string): Mutant[] {
  const tree = ts.createSourceFile(file, source, ts.ScriptTarget.Latest, true, ts.ScriptKind.TS);
  const lines = source.split('\n');
  const found: Mutant[] = [];
  const change = (node: ts.Node, to: string) => {
    const start = node.getStart();
    const line = tree.getLineAndCharacterOfPosition(start).line;
    const from = source.slice(start, node.end);
    const equal = found.filter((m) => m.line === line + 1 && m.from === from && m.to === to);
    found.push({
      file,
      line: line + 1,
      start,
      end: node.end,
      from,
      to,
      text: lines[line].trim(),
      nth: equal.length + 1,
    });
  };
  const visit = (node: ts.Node): void => {
    if (ts.isTypeNode(node) || ts.isInterfaceDeclaration(node) || ts.isTypeAliasDeclaration(node)) return;
    if (ts.isNumericLiteral(node) && !isKey(node)) change(node, scaled(node));
    if (node.kind === ts.SyntaxKind.TrueKeyword) change(node, 'false');
    if (node.kind === ts.SyntaxKind.FalseKeyword) change(node, 'true');
    if (ts.isBinaryExpression(node)) changeBinary(node, change);
    if (ts.isConditionalExpression(node) || ts.isIfStatement(node)) changeCondition(node, change);
    if (ts.isPrefixUnaryExpression(node) && dropped(node)) change(node, node.operand.getText());
    if (ts.isPropertyAccessExpression(node) && node.expression.getText() === 'Math') {
      const other = OTHER_MATH[node.name.text];
      if (other) change(node.name, other);
    }
    ts.forEachChild(node, visit);
  };
  visit(tree);
  return found;
}

function isKey(node: ts.NumericLiteral): boolean {
  return ts.isPropertyAssignment(node.parent) && node.parent.name === node;
}

const dropped = ({ operator }: ts.PrefixUnaryExpression) =>
  operator === ts.SyntaxKind.MinusToken || operator === ts.SyntaxKind.ExclamationToken;

/** Up at even places of the file, down at odd ones, so that both sides of a limit are tried. */
function scaled(node: ts.NumericLiteral): string {
  const value = Number(node.text);
  const up = node.getStart() % 2 === 0;
  if (Number.isInteger(value) && value <= 20) return String(up || value === 0 ? value + 1 : value - 1);
  return String(Number((value * (up ? 1.035 : 0.965)).toPrecision(12)));
}

function changeBinary(node: ts.BinaryExpression, change: (node: ts.Node, to: string) => void): void {
  const { operatorToken, left, right } = node;
  for (const to of COMPARED[operatorToken.kind] ?? []) change(operatorToken, to);
  if (!JOINED.includes(operatorToken.kind)) return;
  change(node, left.getText());
  change(node, right.getText());
}

/** A condition that joins others is changed part by part; any other is taken as met and as not met. */
function changeCondition(
  node: ts.ConditionalExpression | ts.IfStatement,
  change: (node: ts.Node, to: string) => void,
): void {
  const condition = ts.isIfStatement(node) ? node.expression : node.condition;
  if (ts.isBinaryExpression(condition) && JOINED.includes(condition.operatorToken.kind)) return;
  change(condition, 'true');
  change(condition, 'false');
}

export function mutated(source: string, { start, end, to }: Mutant): string {
  return `${source.slice(0, start)}${to}${source.slice(end)}`;
}

/** `a` to `b`, as a report tells it. */
export function told({ from, to }: Pick<Mutant, 'from' | 'to'>): string {
  return `${from} → ${to}`.replace(/\s+/g, ' ');
}
