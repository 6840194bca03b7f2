import type { AxisValue } from './axis.ts';
import { checkTemplate, checkWidth } from './band-template.ts';
import type { Findings } from './findings.ts';
import { locateIn, mergeLayers, type TemplateLayer } from './layers.ts';
import { schemaFindings } from './schema-findings.ts';
import { type Template, templateSchema } from './template-schema.ts';
import { followsSize, type Measured, workedTemplate } from './worked-template.ts';
import type { FieldPath, YamlSource } from './yaml-source.ts';

/** Something that changes the template: an axis value or a pair's partner. */
export interface TemplateChange {
  path: FieldPath;
  set?: unknown;
}

/**
 * The template with each combination of changes that the grid asks for, parsed once and checked once.
 * Problems point at the file and line of the topmost layer that holds the field.
 */
export class DesignCache {
  private readonly designs = new Map<string, Template | undefined>();
  /** which templates hang on the size or width of the grid */
  private readonly follows = new Map<string, boolean>();
  private readonly widths = new Set<string>();
  private readonly base: readonly TemplateLayer[];
  readonly config: YamlSource;
  private readonly findings: Findings;

  constructor(base: readonly TemplateLayer[], config: YamlSource, findings: Findings) {
    this.base = base;
    this.config = config;
    this.findings = findings;
  }

  /** The template under these changes, the last one on top, for one size and width; undefined if it has problems. */
  design(changes: readonly TemplateChange[], at: Measured): Template | undefined {
    const of = DesignCache.key(changes);
    const layers = this.layers(changes);
    if (!this.follows.has(of)) this.follows.set(of, followsSize(mergeLayers(layers)));
    const key = this.follows.get(of) ? `${of} ${at.size} ${at.width}` : of;
    if (!this.designs.has(key)) this.designs.set(key, this.parse(layers, at));
    return this.designs.get(key);
  }

  checkWidth(template: Template, changes: readonly TemplateChange[], widthMm: number): void {
    const key = `${DesignCache.key(changes)} ${widthMm}`;
    if (this.widths.has(key)) return;
    this.widths.add(key);
    checkWidth(template, widthMm, this.findings, locateIn(this.layers(changes)));
  }

  /** A problem of a field of the template under these changes. */
  report(changes: readonly TemplateChange[], finding: Parameters<Findings['add']>[0]): void {
    this.findings.add(finding, locateIn(this.layers(changes)));
  }

  private static key(changes: readonly TemplateChange[]): string {
    return JSON.stringify(changes.filter((c) => c.set !== undefined).map((c) => c.path));
  }

  /** What the template under these changes is written in, the topmost last. */
  layers(changes: readonly TemplateChange[]): TemplateLayer[] {
    const above = changes
      .filter((c) => c.set !== undefined)
      .map((c) => ({ source: this.config, at: [...c.path, 'set'], raw: c.set }));
    return [...this.base, ...above];
  }

  private parse(layers: readonly TemplateLayer[], at: Measured): Template | undefined {
    const locate = locateIn(layers);
    const known = this.findings.errors.length;
    const raw = workedTemplate(mergeLayers(layers), at, this.findings, locate);
    if (this.findings.errors.length > known) return undefined;
    const parsed = templateSchema.safeParse(raw);
    if (!parsed.success) {
      for (const f of schemaFindings(parsed.error, raw)) this.findings.add(f, locate);
      return undefined;
    }
    const before = this.findings.errors.length;
    checkTemplate(parsed.data, this.findings, locate);
    return this.findings.errors.length > before ? undefined : parsed.data;
  }
}

/** The changes a cell's values make, in the order of the axes. */
export function changesOf(values: Iterable<AxisValue>): TemplateChange[] {
  return [...values].filter((v) => v.set !== undefined);
}
