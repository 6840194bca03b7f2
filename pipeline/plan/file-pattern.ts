/**
 * Names of picture files by a pattern of the config, such as `{sku}-{shot}-{frame}-{width}`.
 *
 * `{output}` is the name of a named output or `main`, `{frame}` that of a frame or `full`. The index's thumbnails keep
 * their usual names.
 */
import type { Findings } from './findings.ts';
import { WHOLE } from './output-schema.ts';
import type { ImageOutput, ShotPlan } from './plan.ts';
import { adviseName } from './suggestion.ts';

const FIELDS = ['sku', 'shot', 'output', 'frame', 'width'] as const;
const EXTENSION = { avif: 'avif', webp: 'webp', jpeg: 'jpg', png: 'png', tiff: 'tif' } as const;
/** Bytes of a name that every common file system takes, less those of an extension. */
const LONGEST = 250;

export interface PictureNaming {
  sku: string;
  shot: string;
  /** of a named output */
  name?: string;
  frame?: string;
  width: number | string;
}

/** The name of a picture file without its extension. */
export function patternName(pattern: string, { sku, shot, name, frame, width }: PictureNaming): string {
  const values: Record<string, string> = {
    sku,
    shot,
    output: name ?? 'main',
    frame: frame ?? WHOLE,
    width: String(width),
  };
  return pattern.replace(/\{([^{}]*)\}/g, (_, field: string) => values[field] ?? '');
}

/** Reports a pattern that is unsafe, or by which two files of one item would have one name. */
export function checkFilePattern(
  pattern: string,
  skus: readonly string[],
  shots: readonly ShotPlan[],
  images: readonly ImageOutput[],
  findings: Findings,
): void {
  const add = (code: string, expected: string, received: string, advice: string) =>
    findings.add({ code, path: ['outputs', 'files'], expected, received, advice });
  for (const [, field] of pattern.matchAll(/\{([^{}]*)\}/g)) {
    if ((FIELDS as readonly string[]).includes(field)) continue;
    const expected = `${FIELDS.map((f) => `{${f}}`).join(', ')}`;
    add('unknown-field', expected, JSON.stringify(`{${field}}`), adviseName(field, FIELDS));
    return;
  }
  const literal = pattern.replace(/\{[^{}]*\}/g, '');
  if (/[^A-Za-z0-9._-]/.test(literal) || pattern.includes('..') || /^[^A-Za-z0-9{]|\}\{/.test(pattern)) {
    const expected =
      'letters, digits, single dots, hyphens, underscores, and fields in braces that these part';
    add('unsafe-file-name', expected, JSON.stringify(pattern), 'Leave out spaces, slashes and signs.');
    return;
  }
  const longest = skus.reduce((a, b) => (b.length > a.length ? b : a), '');
  const widths = new Map<string, Set<number>>();
  const seen = new Map<string, string>();
  for (const shot of shots)
    for (const { name, frame, format, widths: wanted } of images) {
      // which width a narrow film gives is not known yet, so no two outputs may lean on their widths to differ
      const naming = { sku: longest, shot: shot.name, name, frame: frame?.name, width: '######' };
      const file = `${patternName(pattern, naming)}.${EXTENSION[format]}`.toLowerCase();
      const what = [shot.name, name ?? 'main', frame?.name ?? WHOLE, format].join(', ');
      const own = widths.get(what) ?? new Set();
      widths.set(what, own);
      for (const w of wanted) own.add(w);
      const before = seen.get(file) ?? what;
      seen.set(file, what);
      const several = own.size > 1 && !pattern.includes('{width}');
      if (before !== what || several) {
        const other = before === what ? 'another width' : before;
        const received = `${file.replaceAll('######', '{width}')} for ${what} and for ${other}`;
        add('file-names-alike', 'a name of its own for every file', received, adviceFor(pattern));
        return;
      }
      if (file.length <= LONGEST) continue;
      add('file-name-too-long', `at most ${LONGEST} characters`, `${file.length}`, 'Shorten the pattern.');
      return;
    }
}

function adviceFor(pattern: string): string {
  const missing = FIELDS.filter((f) => f !== 'sku' && !pattern.includes(`{${f}}`)).map((f) => `{${f}}`);
  return missing.length > 0
    ? `Add ${missing.join(', ')} where outputs differ by it.`
    : 'Part the fields by hyphens or underscores.';
}
