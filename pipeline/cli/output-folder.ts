import { dirname, join, relative, resolve, sep } from 'node:path';
import { RELEASED, ROOT } from '../store/installation.mjs';

/**
 * Where output goes when nobody says: in the folder `output` beside the config, or, for what lies in a clone of the
 * repository, in the clone's own.
 * @param folder that of the config
 */
export function outputBeside(folder: string): string {
  const inClone = !RELEASED && !relative(ROOT, folder).split(sep).includes('..');
  return join(inClone ? ROOT : folder, 'output');
}

/** A command line with its output folder settled, as an absolute path. */
export function withOutput<V extends { out?: string }>({
  values,
  config,
}: {
  values: V;
  config: string;
}): { values: V & { out: string }; config: string } {
  const out = values.out === undefined ? outputBeside(dirname(resolve(config))) : resolve(values.out);
  return { values: { ...values, out }, config };
}
