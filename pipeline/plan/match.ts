import type { Axis, AxisValue } from './axis.ts';
import type { Findings } from './findings.ts';
import type { Match } from './match-schema.ts';
import { adviseName } from './suggestion.ts';
import type { FieldPath } from './yaml-source.ts';

/** Axis name → value of one cell of the grid. */
export type GridCell = ReadonlyMap<string, AxisValue>;

/** Whether a cell is meant. */
export type Matcher = (cell: GridCell) => boolean;

function names(value: AxisValue): string[] {
  return [value.label, value.slug, ...value.names].map((n) => n.trim().toLowerCase());
}

const indexes = new WeakMap<Axis, Map<string, AxisValue>>();

function findValue(axis: Axis, written: string | number): AxisValue | undefined {
  let index = indexes.get(axis);
  if (!index) {
    index = new Map();
    indexes.set(axis, index);
    // of two values with one name the first is meant
    for (const value of axis.values)
      for (const name of names(value)) if (!index.has(name)) index.set(name, value);
  }
  return index.get(String(written).trim().toLowerCase());
}

/**
 * Turns `axis: values` into a test. Names of axes and values that do not exist are reported; there is no test
 * then, since a guess could match everything.
 */
export function readMatch(
  match: Match,
  axes: readonly Axis[],
  path: FieldPath,
  findings: Findings,
): Matcher | undefined {
  let sound = true;
  const wanted = new Map<string, Set<AxisValue>>();
  for (const [name, written] of Object.entries(match)) {
    const axis = axes.find((a) => a.name === name);
    if (!axis) {
      sound = false;
      const known = axes.map((a) => a.name);
      findings.add({
        code: 'unknown-axis',
        path: [...path, name],
        key: true,
        expected: `an axis of the grid: ${known.join(', ')}`,
        received: JSON.stringify(name),
        advice: adviseName(name, known),
      });
      continue;
    }
    const values = new Set<AxisValue>();
    const list = Array.isArray(written) ? written : [written];
    list.forEach((item, i) => {
      const value = findValue(axis, item);
      if (value) values.add(value);
      else {
        sound = false;
        const known = axis.values.map((v) => v.label);
        findings.add({
          code: 'unknown-name',
          path: Array.isArray(written) ? [...path, name, i] : [...path, name],
          expected: `a value of the axis "${name}": ${known.join(', ')}`,
          received: JSON.stringify(item),
          advice: adviseName(String(item), known),
        });
      }
    });
    wanted.set(name, values);
  }
  if (!sound) return undefined;
  return (cell) => [...wanted].every(([name, values]) => values.has(cell.get(name) as AxisValue));
}
