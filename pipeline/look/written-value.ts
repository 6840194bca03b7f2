import type * as z from 'zod';
import { pathText } from '../plan/findings.ts';
import { schemaFindings } from '../plan/schema-findings.ts';
import type { TemplateField } from '../plan/template-fields.ts';
import type { YamlValue } from '../plan/yaml-edit.ts';
import type { Problem, Result } from '../problem.ts';

/**
 * What a file is to hold for a text typed into a field: in the form that the file has now, where a bare number stays
 * one and a unit stays a unit. A decimal comma is understood.
 */
export function writtenValue(field: TemplateField, typed: string): Result<{ value: YamlValue }> {
  const value = formed(field, typed.trim());
  const parsed = (field.schema as z.ZodType).safeParse(value);
  if (parsed.success) return { value };
  const problems = schemaFindings(parsed.error, value).map(
    ({ path: _, key: __, ...finding }): Problem => ({
      severity: 'error',
      ...finding,
      path: pathText(field.path),
    }),
  );
  return { problems };
}

const UNITS = { mm: 'mm', deg: 'deg', '%': '%', px: 'px' } as const;

function formed({ kind, measure, words, raw, usual }: TemplateField, typed: string): YamlValue {
  if (kind === 'flag') return typed === 'true';
  if (kind === 'text' || words?.includes(typed)) return typed;
  const text = typed.replace(/(\d),(\d)/g, '$1.$2');
  const number = Number(text);
  const bare = text !== '' && Number.isFinite(number);
  if (kind === 'number') return bare ? number : typed;
  if (kind !== 'measure' || !measure) return typed;
  const likeNumber = typeof raw === 'number';
  if (bare) {
    if (measure.unit === '%') return likeNumber ? number / 100 : `${text} %`;
    const unit = measure.unit in UNITS ? measure.unit : unitIn(raw ?? usual);
    return likeNumber || !unit ? number : `${text} ${unit}`;
  }
  const ending = new RegExp(`^([+-]?[\\d.]+)\\s*${measure.unit === '%' ? '%' : '(?:mm|deg|°|px)'}$`).exec(
    text,
  );
  // as the file has bare numbers, so the new one is
  if (ending && likeNumber) return measure.unit === '%' ? Number(ending[1]) / 100 : Number(ending[1]);
  return text;
}

/** The unit of a measure that has the choice. */
function unitIn(text: unknown): string | undefined {
  return /%$/.test(String(text).trim()) ? '%' : 'mm';
}
