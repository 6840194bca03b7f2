import path from 'node:path';
import { ProblemError } from '../problem.ts';
import type { Findings } from './findings.ts';
import { locateIn, mergeLayers, type TemplateLayer } from './layers.ts';
import { isMapping } from './raw-merge.ts';
import { type CatalogueFiles, readText } from './reading.ts';
import { schemaFindings } from './schema-findings.ts';
import { readSkyFile } from './sky-file.ts';
import type { StudioPlan } from './studio.ts';
import { studioPlan, studioSchema } from './studio-schema.ts';
import { adviseName } from './suggestion.ts';
import { isPath } from './template-file.ts';
import { type FieldPath, readYaml, type YamlSource } from './yaml-source.ts';

/**
 * The studios a config may light its shots with: its own `studios`, those that come along in `templates/studios`, and
 * files named by their path. Everything wrong with one is reported at its place in whichever file holds it.
 */
export class StudioShelf {
  /** absolute paths of the studio files that were read */
  readonly read: string[] = [];
  private readonly studios = new Map<string, StudioPlan | undefined>();
  private readonly config: YamlSource;
  private readonly files: CatalogueFiles;
  private readonly findings: Findings;
  private known: string[] = [];

  private constructor(config: YamlSource, files: CatalogueFiles, findings: Findings) {
    this.config = config;
    this.files = files;
    this.findings = findings;
  }

  /** Reads the config's own studios and those that `wanted` names, with the path of each name in the config. */
  static async open(
    wanted: readonly { name: string; path: FieldPath }[],
    config: YamlSource,
    files: CatalogueFiles,
    findings: Findings,
  ): Promise<StudioShelf> {
    const shelf = new StudioShelf(config, files, findings);
    const own = isMapping(config.raw) && isMapping(config.raw.studios) ? config.raw.studios : {};
    const listed = await files.list(path.join(files.templates, 'studios'));
    const shipped = listed.flatMap((f) => /^(.+)\.yaml$/.exec(f)?.[1] ?? []);
    shelf.known = [...new Set([...Object.keys(own), ...shipped])].sort();
    for (const [name, written] of Object.entries(own))
      shelf.studios.set(name, await shelf.own(name, written, shipped));
    for (const { name, path: at } of wanted)
      if (!shelf.studios.has(name)) shelf.studios.set(name, await shelf.develop(await shelf.file(name, at)));
    return shelf;
  }

  /** The studio of a name that `open` was told of; undefined when it has problems, which are reported. */
  find(name: string): StudioPlan | undefined {
    return this.studios.get(name);
  }

  /** A studio of the config: a path, a whole studio, or changes to one that comes along (`like`). */
  private async own(name: string, written: unknown, shipped: string[]): Promise<StudioPlan | undefined> {
    const at = ['studios', name];
    if (typeof written === 'string') {
      if (isPath(written) || shipped.includes(written)) return this.develop(await this.file(written, at));
      this.unknown(written, at, shipped);
      return undefined;
    }
    if (!isMapping(written)) return undefined;
    const { like, ...changes } = written;
    const layer: TemplateLayer = { source: this.config, at, raw: changes };
    if (like === undefined) return this.develop([layer]);
    const base = typeof like === 'string' ? await this.file(like, [...at, 'like']) : undefined;
    return base && this.develop([...base, layer]);
  }

  /** The file behind a name or path, as a layer. */
  private async file(name: string, at: FieldPath): Promise<TemplateLayer[] | undefined> {
    const file = isPath(name)
      ? path.resolve(path.dirname(this.config.file), name)
      : path.join(this.files.templates, 'studios', `${name}.yaml`);
    let text: string;
    try {
      text = await readText(file, this.files);
    } catch (error) {
      if (isPath(name)) this.unreadable(name, file, at, error);
      else this.unknown(name, at, this.known);
      return undefined;
    }
    if (!this.read.includes(file)) this.read.push(file);
    try {
      const source = readYaml(text, file);
      return [{ source, at: [], raw: source.raw }];
    } catch (error) {
      if (!(error instanceof ProblemError)) throw error;
      this.findings.take(error.problems);
      return undefined;
    }
  }

  private async develop(layers: TemplateLayer[] | undefined): Promise<StudioPlan | undefined> {
    if (!layers) return undefined;
    const raw = mergeLayers(layers) ?? {};
    const parsed = studioSchema.safeParse(raw);
    if (parsed.success) {
      const { sky } = parsed.data;
      if (Array.isArray(sky)) return studioPlan(parsed.data);
      const found = await readSkyFile(sky.image, locateIn(layers), this.files, this.findings);
      if (found && !this.read.includes(found.file)) this.read.push(found.file);
      return found && studioPlan(parsed.data, found);
    }
    for (const f of schemaFindings(parsed.error, raw)) this.findings.add(f, locateIn(layers));
    return undefined;
  }

  private unknown(name: string, at: FieldPath, known: readonly string[]): void {
    this.findings.add({
      code: 'unknown-name',
      path: at,
      expected: `${known.join(', ')}, or the path of a studio file`,
      received: JSON.stringify(name),
      advice: adviseName(name, known),
    });
  }

  private unreadable(name: string, file: string, at: FieldPath, error: unknown): void {
    const why = error instanceof Error ? error.message : String(error);
    this.findings.add({
      code: 'unreadable-file',
      path: at,
      expected: 'a studio file that can be read',
      received: JSON.stringify(name),
      advice: `No text could be read from ${file}: ${why}; paths start from the config's folder.`,
    });
  }
}
