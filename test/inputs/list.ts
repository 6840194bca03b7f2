import type { BadInput } from './bad-input.ts';
import { badCommands } from './commands.ts';
import { badFiles } from './files.ts';
import { badTexts } from './texts.ts';

/** All bad inputs, the same ones in the same order every time. */
export async function badInputs(): Promise<BadInput[]> {
  const all = [...(await badFiles()), ...badTexts(), ...badCommands()];
  // nothing at all is left of every picture of which there is no part
  const byContent = new Map(
    all.map((i) => [JSON.stringify([i.args, Object.entries(i.files).map(String)]), i]),
  );
  return [...byContent.values()];
}
