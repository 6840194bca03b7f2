import * as z from 'zod';
import { LANGUAGES, type Language } from '../trade/words.ts';
import type { Findings } from './findings.ts';
import { printed, strict } from './strict-object.ts';
import type { FieldPath } from './yaml-source.ts';

/** The maker's own words: one text for all readers, or one for each language. */
export type LocalText = string | Partial<Record<Language, string>>;

const FOR_READERS: Record<Language, string> = { en: 'for readers of English', de: 'for readers of German' };

export function localText(most: number) {
  const byLanguage = strict(
    Object.fromEntries(LANGUAGES.map((l) => [l, printed(most).optional().describe(FOR_READERS[l])])),
  );
  return z.union([printed(most), byLanguage], {
    error: () => `one line of text, or one for each language: ${LANGUAGES.join(', ')}`,
  });
}

export function textIn(text: LocalText, language: Language): string {
  return typeof text === 'string' ? text : (text[language] ?? '');
}

/** Reports languages that are needed and missing. */
export function checkTranslations(
  text: LocalText,
  needed: readonly Language[],
  path: FieldPath,
  findings: Findings,
): void {
  if (typeof text === 'string') return;
  for (const language of needed.filter((l) => !text[l]))
    findings.add({
      code: 'missing-translation',
      path,
      expected: `a text in every language that is written: ${needed.join(', ')}`,
      received: `none in "${language}"`,
      advice: `Add "${language}", or give one text for all.`,
    });
}
