import type * as z from 'zod';
import { describe, type Finding, MOST_PROBLEMS } from './findings.ts';
import { valueAt } from './raw-merge.ts';
import { LOCAL_NAME } from './strict-object.ts';
import { adviseName, nearestName } from './suggestion.ts';
import { whyUnmade } from './unmade.ts';
import type { FieldPath } from './yaml-source.ts';

type Issue = z.core.$ZodIssue;

const KIND: Readonly<Record<string, string>> = {
  string: 'text',
  number: 'a number',
  int: 'a whole number',
  boolean: 'true or false',
  array: 'a list',
  object: 'a mapping of keys to values',
  record: 'a mapping of names to values',
};

/** Whether an issue says that a value is of another kind altogether, such as text in place of a mapping. */
function wrongKind(issue: Issue, value: unknown): boolean {
  if (issue.path.length > 0) return false;
  return issue.code === 'invalid_type' || (issue.code === 'invalid_value' && typeof value !== 'string');
}

/** The alternative that was meant: the one whose kind fits, if there is just one. */
function meantBranch(issue: Issue & { code: 'invalid_union' }, value: unknown): readonly Issue[] | undefined {
  const fitting = issue.errors.filter((b) => b.length > 0 && !b.some((i) => wrongKind(i, value)));
  return fitting.length === 1 ? fitting[0] : undefined;
}

/** Words that would have been right in one of the alternatives. */
function wordsOf(issue: Issue & { code: 'invalid_union' }): string[] {
  const options = (issue as { options?: unknown[] }).options ?? [];
  const values = issue.errors
    .flat()
    .flatMap((i) => (i.code === 'invalid_value' && i.path.length === 0 ? i.values : []));
  return [...options, ...values].map(String);
}

function wrongAlternative(
  issue: Issue & { code: 'invalid_union' },
  raw: unknown,
  path: FieldPath,
): Finding[] {
  const value = valueAt(raw, path);
  if (value === undefined)
    return [
      {
        code: 'missing-key',
        path,
        expected: issue.message,
        received: 'nothing',
        advice: `Add "${path.at(-1)}".`,
      },
    ];
  const meant = meantBranch(issue, value);
  const oneWord = meant?.length === 1 && meant[0].code === 'invalid_value' && meant[0].path.length === 0;
  if (meant && (!oneWord || issue.message === 'Invalid input')) return translateAll(meant, raw, path);
  const near = typeof value === 'string' ? nearestName(value, wordsOf(issue)) : undefined;
  const why = typeof value === 'string' ? whyUnmade(value, wordsOf(issue)) : undefined;
  const advice = why ?? (near ? `Did you mean "${near}"?` : `Write ${issue.message}.`);
  const code = typeof value === 'string' && wordsOf(issue).length > 0 ? 'unknown-name' : 'wrong-value';
  return [{ code, path, expected: issue.message, received: describe(value), advice }];
}

/** What is left of a measure when its decimal comma has ended it: in braces a comma goes on to the next key. */
const CUT_OFF = /^\d+ ?(?:mm|deg|°|%|px)?$/;

function unknownKeys(
  issue: Issue & { code: 'unrecognized_keys' },
  path: FieldPath,
  value: unknown,
): Finding[] {
  const known = issue.message.split(' ').filter(Boolean);
  return issue.keys.slice(0, MOST_PROBLEMS).map((name) => {
    if (CUT_OFF.test(name) && valueAt(value, [name]) === null)
      return {
        code: 'decimal-comma',
        path: [...path, name],
        key: true,
        expected: 'decimals after a point, such as "0.3 mm"',
        received: `a comma before ${describe(name)}, which ends the value there`,
        advice: 'Write a point in place of the comma.',
      };
    return unknownKey(name, known, path);
  });
}

function unknownKey(name: string, known: readonly string[], path: FieldPath): Finding {
  return {
    code: 'unknown-key',
    path: [...path, name],
    key: true,
    expected: `one of ${known.join(', ')}`,
    received: describe(name),
    advice: whyUnmade(name, known) ?? adviseName(name, known),
  };
}

function wrongType(issue: Issue & { code: 'invalid_type' }, path: FieldPath, value: unknown): Finding {
  const expected = KIND[issue.expected] ?? issue.expected;
  if (value === undefined) {
    const name = path.at(-1) ?? 'it';
    return { code: 'missing-key', path, expected, received: 'nothing', advice: `Add "${name}".` };
  }
  return {
    code: 'wrong-type',
    path,
    expected,
    received: describe(value),
    advice: isMeantAsKey(value, expected)
      ? `Write ${expected} there, or indent this line under the key that it belongs to.`
      : `Write ${expected} there.`,
  };
}

/** A plain value in place of a mapping: mostly a line that has slipped out from under its key. */
const isMeantAsKey = (value: unknown, expected: string) =>
  [KIND.object, KIND.record].includes(expected) && ['string', 'number', 'boolean'].includes(typeof value);

function unknownName(known: readonly string[], path: FieldPath, value: unknown): Finding {
  const expected = `one of ${known.join(', ')}`;
  if (value === undefined)
    return { code: 'missing-key', path, expected, received: 'nothing', advice: `Add "${path.at(-1)}".` };
  const advice =
    typeof value === 'string'
      ? (whyUnmade(value, known) ?? adviseName(value, known))
      : 'Write one of these names.';
  return { code: 'unknown-name', path, expected, received: describe(value), advice };
}

function outOfBounds(issue: Issue, path: FieldPath, value: unknown): Finding {
  const i = issue as Issue & { minimum?: number; maximum?: number; origin?: string };
  const [bound, word] = i.minimum === undefined ? [i.maximum, 'at most'] : [i.minimum, 'at least'];
  const unit =
    i.origin === 'array' ? (bound === 1 ? ' item' : ' items') : i.origin === 'string' ? ' characters' : '';
  const expected = `${word} ${bound}${unit}`;
  return { code: 'out-of-range', path, expected, received: describe(value), advice: `Give ${expected}.` };
}

function translate(issue: Issue, raw: unknown, prefix: FieldPath): Finding[] {
  const path = [...prefix, ...(issue.path as (string | number)[])];
  const value = valueAt(raw, path);
  switch (issue.code) {
    case 'unrecognized_keys':
      return unknownKeys(issue, path, value);
    case 'invalid_type':
      return [wrongType(issue, path, value)];
    case 'invalid_value':
      return [unknownName(issue.values.map(String), path, value)];
    case 'too_small':
    case 'too_big':
      return [outOfBounds(issue, path, value)];
    case 'invalid_key':
      return [
        {
          code: 'bad-name',
          path,
          key: true,
          expected: LOCAL_NAME,
          received: JSON.stringify(path.at(-1)),
          advice: 'Rename it, for example "inner-edge".',
        },
      ];
    case 'invalid_union':
      return wrongAlternative(issue, raw, path);
  }
  const params = issue.code === 'custom' ? (issue.params ?? {}) : {};
  const absent = value === undefined;
  return [
    {
      code: absent ? 'missing-key' : String(params.code ?? 'wrong-value'),
      path,
      expected: String(params.expected ?? issue.message),
      received: describe(value),
      advice: absent ? `Add "${path.at(-1)}".` : String(params.advice ?? `Write ${issue.message}.`),
    },
  ];
}

/** As many as are ever told: a list of thousands of wrong names would take seconds. */
function translateAll(issues: readonly Issue[], raw: unknown, prefix: FieldPath): Finding[] {
  const found: Finding[] = [];
  for (const issue of issues) {
    if (found.length >= MOST_PROBLEMS) break;
    found.push(...translate(issue, raw, prefix));
  }
  return found.filter((finding) => !isMisspelt(finding, found));
}

/** Whether a key is missing because it is there in a spelling that is told of already. */
function isMisspelt({ code, path }: Finding, found: readonly Finding[]): boolean {
  const [mapping, key] = [path.slice(0, -1), String(path.at(-1))];
  return (
    code === 'missing-key' &&
    found.some(
      (other) =>
        other.code === 'unknown-key' &&
        other.path.slice(0, -1).join('\0') === mapping.join('\0') &&
        nearestName(String(other.path.at(-1)), [key]) !== undefined,
    )
  );
}

/** A schema's complaints about `raw` in the words of our own error reports. */
export function schemaFindings(error: z.ZodError, raw: unknown): Finding[] {
  return translateAll(error.issues, raw, []);
}
