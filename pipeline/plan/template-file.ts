import path from 'node:path';
import { ProblemError } from '../problem.ts';
import { describe, type Findings, shortened } from './findings.ts';
import { isMapping } from './raw-merge.ts';
import { type CatalogueFiles, readText } from './reading.ts';
import { adviseName } from './suggestion.ts';
import { readYaml, type YamlSource } from './yaml-source.ts';

/** A path has a slash or ends like a YAML file; everything else is the name of a file that comes along. */
export function isPath(written: string): boolean {
  return /[/\\]/.test(written) || /\.ya?ml$/i.test(written);
}

/**
 * Reads the template that a config names, whatever else is wrong with the config. Problems go to `findings`;
 * without a readable template the result is undefined.
 */
export async function readTemplateFile(
  config: YamlSource,
  files: CatalogueFiles,
  findings: Findings,
): Promise<YamlSource | undefined> {
  const written = isMapping(config.raw) ? config.raw.template : undefined;
  if (typeof written !== 'string' || written === '') return undefined;
  const file = isPath(written)
    ? path.resolve(path.dirname(config.file), written)
    : path.join(files.templates, `${written}.yaml`);
  let text: string;
  try {
    text = await readText(file, files);
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    const known = (await files.list(files.templates)).flatMap((f) => /^(.+)\.yaml$/.exec(f)?.[1] ?? []);
    findings.add({
      code: 'unknown-template',
      path: ['template'],
      expected: `${known.join(', ')}, or the path of a template file`,
      received: describe(written),
      advice: isPath(written)
        ? `No text could be read from ${shortened(file)}: ${shortened(why)}.`
        : adviseName(written, known),
    });
    return undefined;
  }
  try {
    return readYaml(text, file);
  } catch (error) {
    if (!(error instanceof ProblemError)) throw error;
    findings.take(error.problems);
    return undefined;
  }
}
