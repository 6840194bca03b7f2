import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { ROOT } from '../store/installation.mjs';

/** Of this copy of Bandwright, by Semantic Versioning. */
export const VERSION: string = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')).version;
