import { ProblemError } from '../problem.ts';
import { type Config, configSchema } from './config-schema.ts';
import type { Findings } from './findings.ts';
import { isMapping } from './raw-merge.ts';
import { type CatalogueFiles, readText } from './reading.ts';
import { schemaFindings } from './schema-findings.ts';
import { localName } from './strict-object.ts';
import { nearestName } from './suggestion.ts';
import type { YamlSource } from './yaml-source.ts';

const AXES = ['size', 'width', 'metal', 'stone'];

/** @throws ProblemError if there is no such text */
export async function readConfigText(file: string, files: CatalogueFiles): Promise<string> {
  try {
    return await readText(file, files);
  } catch (error) {
    const received = error instanceof Error ? error.message : String(error);
    const advice = `Check the path ${file} and save it as UTF-8 text.`;
    const expected = 'a config file that can be read';
    const place = { file, line: 1, column: 1 };
    throw new ProblemError([
      { code: 'unreadable-file', severity: 'error', path: '(file)', expected, received, advice, place },
    ]);
  }
}

/** Values that change the template show that an axis is meant, whatever its name resembles. */
function isFreeAxis(values: unknown): boolean {
  return Array.isArray(values) && values.every((v) => isMapping(v) && Object.hasOwn(v, 'set'));
}

/** Axes whose name is nearly a known one, which is a slip, or could not stand in a SKU pattern. */
function misnamedAxes(raw: unknown, findings: Findings): string[] {
  const grid = isMapping(raw) && isMapping(raw.grid) ? raw.grid : {};
  const missing = AXES.filter((name) => !Object.hasOwn(grid, name));
  return Object.keys(grid).filter((name) => {
    if (AXES.includes(name)) return false;
    const near = isFreeAxis(grid[name]) ? undefined : nearestName(name, missing);
    if (near === undefined && localName.safeParse(name).success) return false;
    findings.add({
      code: near ? 'unknown-axis' : 'bad-name',
      path: ['grid', name],
      key: true,
      expected: `${AXES.join(', ')}, or an axis named in small letters, digits and hyphens`,
      received: JSON.stringify(name),
      advice: near ? `Did you mean "${near}"?` : 'Rename it, for example "finish".',
    });
    return true;
  });
}

/** `raw` without the field that `path` names, as far as it exists. */
function without(raw: unknown, [first, ...rest]: readonly (string | number)[]): unknown {
  if (Array.isArray(raw))
    return raw.map((item, i) => (i === first && rest.length > 0 ? without(item, rest) : item));
  if (!isMapping(raw)) return raw;
  const { [String(first)]: inner, ...others } = raw;
  return rest.length === 0 ? others : { ...others, [String(first)]: without(inner, rest) };
}

/**
 * Parses the config. Unknown keys are reported and then left aside, so that the rest of the file is still
 * checked in the same run.
 */
export function parseConfig(source: YamlSource, findings: Findings): Config | undefined {
  let raw: unknown = source.raw ?? {};
  for (const name of misnamedAxes(raw, findings)) raw = without(raw, ['grid', name]);
  const first = configSchema.safeParse(raw);
  if (first.success) return first.data;
  const found = schemaFindings(first.error, raw);
  for (const finding of found) findings.add(finding);
  if (found.some((f) => f.code !== 'unknown-key')) return undefined;
  const known = found.reduce<unknown>((rest, f) => without(rest, f.path), raw);
  return configSchema.safeParse(known).data;
}

/** Axis names in the order of the file. */
export function axisOrder(source: YamlSource): string[] {
  const raw = source.raw;
  return isMapping(raw) && isMapping(raw.grid) ? Object.keys(raw.grid) : [];
}
