/**
 * `tsx test/validate-catalogue.ts <output folder>`: every GLB through the Khronos validator (no errors, no warnings),
 * every catalogue.json through its schema, every picture's bytes against its hash. Exit 1 if anything is wrong.
 */
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { catalogueSchema } from '../pipeline/publish/catalogue-schema.ts';
import { validateGlb } from './model/validate-glb.ts';

const out = process.argv[2];
const wrong: string[] = [];
let models = 0;
let pictures = 0;
const folders = readdirSync(out, { withFileTypes: true }).filter(
  (e) => e.isDirectory() && !e.name.startsWith('.'),
);
for (const { name } of folders) {
  const folder = join(out, name);
  const parsed = catalogueSchema.safeParse(JSON.parse(readFileSync(join(folder, 'catalogue.json'), 'utf8')));
  if (!parsed.success) {
    wrong.push(`${name}/catalogue.json: ${parsed.error.message}`);
    continue;
  }
  for (const model of parsed.data.models) {
    models++;
    const report = await validateGlb(readFileSync(join(folder, model.file)));
    if (!report.clean) wrong.push(`${name}/${model.file}: ${JSON.stringify(report.issues)}`);
  }
  for (const item of parsed.data.items) {
    if (item.shots.length === 0) wrong.push(`${name}/${item.sku} has no pictures`);
    for (const p of item.shots.flatMap((s) => s.pictures)) {
      pictures++;
      const hash = createHash('sha256')
        .update(readFileSync(join(folder, p.file)))
        .digest('hex');
      if (hash !== p.sha256) wrong.push(`${name}/${p.file} is not the picture its manifest names`);
    }
  }
}
for (const w of wrong) console.error(w);
console.log(
  `${folders.length} catalogues: ${models} models valid by the Khronos validator, ${pictures} picture files sound, ${wrong.length} faults`,
);
process.exitCode = wrong.length > 0 || models === 0 || pictures === 0 ? 1 : 0;
