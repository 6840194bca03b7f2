import type { BadInput } from './bad-input.ts';
import { badCommands } from './commands.ts';
import { badFiles } from './files.ts';
import { badTexts } from './texts.ts';

/** All bad inputs, the same ones in the same order every time. */
export async function badInputs(): Promise<BadInput[]> {
  return [...(await badFiles()), ...badTexts(), ...badCommands()];
}
