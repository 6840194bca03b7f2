/** What `look` is given: a config, or a template, which gets a config of its own that stands in no file. */
import path from 'node:path';
import { isMapping } from '../plan/raw-merge.ts';
import { type CatalogueFiles, DISK, readText } from '../plan/reading.ts';
import { isPath } from '../plan/template-file.ts';
import { readYaml } from '../plan/yaml-source.ts';
import { ProblemError } from '../problem.ts';
import { STONES } from '../trade/stones.ts';

export interface LookSource {
  /** what `readPlan` is told to read */
  configFile: string;
  files: CatalogueFiles;
  /** the file that was named */
  file: string;
  /** a template that comes along */
  shipped: boolean;
}

const VIEWS = ['three-quarter', 'front', 'flat-lay', 'profile', 'macro', 'inside'];

/**
 * @param written a path, or the name of a template that comes along
 * @throws Error if there is no such text
 */
export async function openSource(written: string): Promise<LookSource> {
  const shipped = path.join(DISK.templates, `${written}.yaml`);
  const named = !isPath(written) && (await DISK.list(DISK.templates)).includes(`${written}.yaml`);
  const file = named ? shipped : path.resolve(written);
  const text = await readText(file, DISK);
  return isTemplate(text, file)
    ? aloneTemplate(file, path.dirname(file) === path.resolve(DISK.templates))
    : { configFile: file, files: DISK, file, shipped: false };
}

/** A config names its template; a text that can't be read yet is taken for a config, whose mistakes are then told. */
function isTemplate(text: string, file: string): boolean {
  try {
    const { raw } = readYaml(text, file);
    return isMapping(raw) && !('template' in raw) && ('lanes' in raw || 'section' in raw);
  } catch (error) {
    if (!(error instanceof ProblemError)) throw error;
    return /^lanes:/m.test(text) && !/^template:/m.test(text);
  }
}

function aloneTemplate(file: string, shipped: boolean): LookSource {
  const configFile = path.join(path.dirname(file), `.${path.basename(file)}.look`);
  const text = configAround(file);
  const files: CatalogueFiles = {
    ...DISK,
    read: async (wanted, most) => (wanted === configFile ? Buffer.from(text) : DISK.read(wanted, most)),
  };
  return { configFile, files, file, shipped };
}

/** One band of a middling size; what only a seller knows stands as undetermined or as the first that the table allows. */
function configAround(template: string): string {
  const declared = [...STONES.values()].map(({ id, origins }) => [id, origins[0]]);
  const treated = [...STONES.values()].filter((s) => s.treated).map(({ id }) => [id, 'undetermined']);
  const config = {
    catalogue: 'look',
    title: path.basename(template).replace(/\.ya?ml$/i, ''),
    workshop: { name: 'Bandwright' },
    template,
    origins: Object.fromEntries(declared),
    treatments: Object.fromEntries(treated),
    grid: { size: ['ISO 54'] },
    shots: VIEWS,
    frame: '480 px',
  };
  return JSON.stringify(config);
}
