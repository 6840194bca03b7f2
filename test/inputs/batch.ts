/** `batch.ts <folder> <first> <last>`: tries a part of the list in this one process and tells each answer as a line. */
import { badInputs } from './list.ts';
import { tryHere } from './trial.ts';

const [folder, first, last] = process.argv.slice(2);
const list = await badInputs();
for (let i = Number(first); i < Math.min(list.length, Number(last)); i++) {
  process.stdout.write(`${JSON.stringify({ i, begun: true })}\n`);
  process.stdout.write(`${JSON.stringify({ i, answer: await tryHere(list[i], folder) })}\n`);
}
process.exit(0);
