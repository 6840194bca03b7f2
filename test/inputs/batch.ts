/** `batch.ts <folder> <first> <last>`: tries a part of the list in this one process and tells each answer as a line. */
import { badInputs } from './list.ts';
import { tryHere } from './trial.ts';

const [folder, first, last] = process.argv.slice(2);
const list = await badInputs();
const tell = (line: object) =>
  new Promise<void>((told) => process.stdout.write(`${JSON.stringify(line)}\n`, () => told()));
for (let i = Number(first); i < Math.min(list.length, Number(last)); i++) {
  await tell({ i, begun: true });
  await tell({ i, answer: await tryHere(list[i], folder) });
}
process.exit(0);
