import { config } from '../plan/workspace.ts';

/** Something a user, or whoever means them harm, might hand over. */
export interface BadInput {
  group: string;
  name: string;
  /** `{f}` stands for the folder in which the files lie */
  args: string[];
  files: Record<string, string | Uint8Array>;
}

/** A plan of `text`, with other files beside it. */
export function badConfig(
  group: string,
  name: string,
  text: string,
  files: Record<string, string | Uint8Array> = {},
): BadInput {
  return {
    group,
    name,
    args: ['plan', '{f}/config.yaml', '--out', '{f}/out'],
    files: { ...files, 'config.yaml': text },
  };
}

/** The small right config with one line changed. */
export function badLine(
  group: string,
  line: string,
  files: Record<string, string | Uint8Array> = {},
): BadInput {
  const key = line.slice(0, line.indexOf(':'));
  return badConfig(group, line.length > 80 ? `${line.slice(0, 77)}…` : line, config({ [key]: line }), files);
}

export function badCommand(group: string, ...args: string[]): BadInput {
  const shown = args.map((a) => (a.length > 40 ? `${a.slice(0, 20)}… (${a.length})` : JSON.stringify(a)));
  return { group, name: shown.join(' '), args, files: { 'config.yaml': config() } };
}
