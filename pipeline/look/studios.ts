import { Findings } from '../plan/findings.ts';
import { locateInSource } from '../plan/layers.ts';
import type { Plan } from '../plan/plan.ts';
import { isMapping } from '../plan/raw-merge.ts';
import { readText } from '../plan/reading.ts';
import type { StudioPlan } from '../plan/studio.ts';
import { StudioShelf } from '../plan/studio-shelf.ts';
import { readYaml } from '../plan/yaml-source.ts';
import type { LookSource } from './source.ts';

/** Studios that come along or that a config names, as it was read last. */
export class Studios {
  /** those of the plan's shots, of the config and of the house, each once */
  static async of(source: LookSource, plan: Plan): Promise<Studios> {
    const { configFile, files } = source;
    const { raw } = readYaml(await readText(configFile, files), configFile);
    const own = isMapping(raw) && isMapping(raw.studios) ? Object.keys(raw.studios) : [];
    const listed = await files.list(`${files.templates}/studios`);
    const shipped = listed.flatMap((f) => /^(.+)\.yaml$/.exec(f)?.[1] ?? []);
    return new Studios(source, [...new Set([...plan.shots.map((s) => s.lights), ...own, ...shipped])]);
  }

  readonly names: readonly string[];
  private readonly source: LookSource;
  private readonly opened = new Map<string, Promise<StudioPlan | undefined>>();

  private constructor(source: LookSource, names: string[]) {
    this.source = source;
    this.names = names;
  }

  /** Read when it is first asked for. @throws ProblemError if it can't be read */
  find(name: string): Promise<StudioPlan | undefined> {
    const opened = this.opened.get(name) ?? this.open(name);
    this.opened.set(name, opened);
    return opened;
  }

  /** Those that were asked for. */
  async found(): Promise<StudioPlan[]> {
    const opened = await Promise.all(this.opened.values());
    return opened.flatMap((studio) => studio ?? []);
  }

  private async open(name: string): Promise<StudioPlan | undefined> {
    const { configFile, files } = this.source;
    const yaml = readYaml(await readText(configFile, files), configFile);
    const findings = new Findings(locateInSource(yaml));
    const shelf = await StudioShelf.open([{ name, path: ['lights'] }], yaml, files, findings);
    return shelf.find(name);
  }
}
