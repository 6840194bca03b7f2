/**
 * `npm run document-pictures`: traces the pictures of the gallery, templates/pictures/, from the lines that stand beside
 * them. `--only grain` makes those with that in their name, `--missing` those that are not there. To be looked at and committed.
 */
import { spawnSync } from 'node:child_process';
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { ROOT } from '../../pipeline/store/installation.mjs';
import { templateBands } from './documents.ts';
import { galleryBands, galleryConfig } from './gallery.ts';

const OUT = join(ROOT, 'output/gallery');
const PICTURES = join(ROOT, 'templates/pictures');
const MOST_BYTES = 300_000;

// strict: a flag that is not known must not trace the whole gallery
const { only, missing } = parseArgs({
  options: { only: { type: 'string' }, missing: { type: 'boolean' } },
}).values;
mkdirSync(join(ROOT, 'output'), { recursive: true });
const configs = mkdtempSync(join(ROOT, 'output/gallery-'));
mkdirSync(PICTURES, { recursive: true });
try {
  for (const band of [...templateBands(), ...galleryBands()]) {
    const file = join(PICTURES, `${band.name}.webp`);
    if (only && !band.name.includes(only)) continue;
    if (missing && existsSync(file)) continue;
    const config = join(configs, `${band.name}.yaml`);
    writeFileSync(config, galleryConfig(band));
    const made = spawnSync(
      process.execPath,
      [join(ROOT, 'pipeline/cli/bandwright.mjs'), 'make', config, '--out', OUT],
      { stdio: 'inherit' },
    );
    if (made.status !== 0) {
      process.exitCode = 1;
      continue;
    }
    const folder = join(OUT, `g-${band.name}`.slice(0, 32));
    const picture = readdirSync(folder, { recursive: true, encoding: 'utf8' }).find((f) =>
      /400\.webp$/.test(f),
    );
    if (!picture) throw new Error(`${band.name}: no picture was made`);
    copyFileSync(join(folder, picture), file);
    if (statSync(file).size > MOST_BYTES) throw new Error(`${file} has more than ${MOST_BYTES} bytes`);
  }
} finally {
  rmSync(configs, { recursive: true, force: true });
}
