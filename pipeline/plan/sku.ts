import type { Axis } from './axis.ts';
import type { Findings } from './findings.ts';
import { isSafeSku, LONGEST_SKU } from './folder-name.ts';
import type { GridCell } from './match.ts';
import { adviseName } from './suggestion.ts';
import type { Sku } from './variant.ts';
import type { FieldPath } from './yaml-source.ts';

/** The pattern used when the config has none: the catalogue's name and every axis. */
export function defaultPattern(catalogue: string, axes: readonly Axis[]): string {
  return [catalogue, ...axes.map((a) => `{${a.name}}`)].join('-');
}

/** Reports placeholders that name no axis, and characters that no file name should have. */
export function checkPattern(pattern: string, axes: readonly Axis[], findings: Findings): void {
  const path: FieldPath = ['sku'];
  const known = axes.map((a) => a.name);
  for (const [, name] of pattern.matchAll(/\{([^{}]*)\}/g)) {
    if (known.includes(name)) continue;
    findings.add({
      code: 'unknown-axis',
      path,
      expected: `axes of the grid in braces: ${known.join(', ')}`,
      received: JSON.stringify(`{${name}}`),
      advice: adviseName(name, known),
    });
  }
  if (/[^A-Za-z0-9._-]/.test(pattern.replace(/\{[^{}]*\}/g, '')) || /^[._-]|[.-]$/.test(pattern))
    findings.add({
      code: 'unsafe-sku',
      path,
      expected: 'letters, digits, dots, hyphens, underscores and axes in braces, with no sign at either end',
      received: JSON.stringify(pattern),
      advice: 'SKUs become folder names: leave out spaces, slashes and signs.',
    });
}

/** A cell's SKU: each placeholder is replaced by the slug of the cell's value. */
export function skuOf(pattern: string, slugs: Readonly<Record<string, string>>): string {
  return pattern.replace(/\{([^{}]*)\}/g, (_, name: string) =>
    Object.hasOwn(slugs, name) ? slugs[name] : '',
  );
}

export function cellText(cell: GridCell): string {
  return [...cell].map(([name, value]) => `${name} ${value.label}`).join(', ');
}

/** SKUs that are taken, without regard to case since some file systems have none. */
export class SkuRegister {
  private readonly taken = new Map<string, string>();
  private readonly findings: Findings;

  constructor(findings: Findings) {
    this.findings = findings;
  }

  has(sku: string): boolean {
    return this.taken.has(sku.toLowerCase());
  }

  /** Takes a SKU for the item that `text` describes, and reports if it cannot be had: then there will be no plan. */
  take(sku: string, text: string, path: FieldPath): Sku {
    if (!isSafeSku(sku))
      this.findings.add({
        code: 'unsafe-sku',
        path,
        expected: `a folder's name of at most ${LONGEST_SKU} letters, digits, ".", "_" and "-" that ends in no sign and is none the catalogue keeps`,
        received: `${JSON.stringify(sku.slice(0, 100))} (${text})`,
        advice: 'Change the pattern or the slugs of the axis values.',
      });
    const before = this.taken.get(sku.toLowerCase());
    if (before !== undefined)
      this.findings.add({
        code: 'duplicate-sku',
        path,
        expected: 'a SKU of its own for every item',
        received: `${JSON.stringify(sku)} for both (${before}) and (${text})`,
        advice: 'Name every axis in the pattern, or give the values different slugs.',
      });
    else this.taken.set(sku.toLowerCase(), text);
    return sku as Sku;
  }
}
