import type { Config } from './config-schema.ts';
import type { ShapeDesign } from './design.ts';
import type { Findings } from './findings.ts';
import { checkTranslations, textIn } from './local-text.ts';
import { adviseName } from './suggestion.ts';

/** What lanes and rows are called for readers of the page; every name must be one of the template's. */
export function planNames(
  { page: { names }, language }: Config,
  shapes: readonly ShapeDesign[],
  findings: Findings,
): { names?: Record<string, string> } {
  const written = Object.entries(names);
  if (written.length === 0) return {};
  const known = [...new Set(shapes.flatMap((s) => [...s.lanes, ...s.rows].map(({ name }) => name)))];
  const called: Record<string, string> = {};
  for (const [name, text] of written) {
    if (known.length > 0 && !known.includes(name))
      findings.add({
        code: 'unknown-name',
        path: ['page', 'names', name],
        key: true,
        expected: `a lane or row of the template: ${known.join(', ')}`,
        received: JSON.stringify(name),
        advice: adviseName(name, known),
      });
    checkTranslations(text, [language], ['page', 'names', name], findings);
    called[name] = textIn(text, language);
  }
  return { names: called };
}
