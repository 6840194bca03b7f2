/** `npm run documents`: writes the generated parts of all documents anew, after a change of schemas, tables or rules. */
import { mkdirSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { ROOT } from '../../pipeline/store/installation.mjs';
import { generated } from './documents.ts';

for (const [file, text] of Object.entries(await generated())) {
  mkdirSync(dirname(join(ROOT, file)), { recursive: true });
  writeFileSync(join(ROOT, file), text);
}
