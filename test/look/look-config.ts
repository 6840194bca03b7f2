/** A small config in a folder of its own, looked at as the command does. */
import { mkdtemp, rename, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import type { LookState } from '../../pipeline/look/contract.ts';
import { LookSession } from '../../pipeline/look/session.ts';
import { openSource } from '../../pipeline/look/source.ts';

/** A plain court with a channel of the template's lanes left out: quick to build, two colourways. */
export const PLAIN = `catalogue: trial
title: Trial bands
workshop: Trial bench
template: plain-court
overrides: { chord-tolerance: 0.05 mm }
grid: { size: [ISO 53], width: [4 mm, 5 mm], metal: [yellow-18, white-18] }
shots: [three-quarter]
frame: 48 px
quality: { noise: 30 %, passes: 24, seed: 7 }
`;

export interface Looked {
  folder: string;
  file: string;
  session: LookSession;
  /** at once, so that nobody reads half of it */
  save(text: string): Promise<void>;
  /** the next state that satisfies */
  until(good: (state: LookState) => boolean): Promise<LookState>;
  close(): Promise<void>;
}

/** @param command makes orders possible */
export async function lookAt(
  text: string,
  readOnly = false,
  command?: (flags: readonly string[]) => string,
): Promise<Looked> {
  const folder = await mkdtemp(path.join(tmpdir(), 'look-'));
  const file = path.join(folder, 'config.yaml');
  await writeFile(file, text);
  const session = await LookSession.open(await openSource(file), { readOnly, command });
  return {
    folder,
    file,
    session,
    save: async (next) => {
      await writeFile(`${file}.new`, next);
      await rename(`${file}.new`, file);
    },
    until: (good) =>
      new Promise((resolve) => {
        if (good(session.state)) return resolve(session.state);
        const forget = session.onChange((state) => {
          if (!good(state)) return;
          forget();
          resolve(state);
        });
      }),
    close: async () => {
      await session.close();
      await rm(folder, { recursive: true });
    },
  };
}
