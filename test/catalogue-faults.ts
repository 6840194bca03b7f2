/** Catalogues of an output folder held against what they name: see `validate-catalogue.ts`. */
import { createHash } from 'node:crypto';
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { catalogueSchema } from '../pipeline/facts/catalogue-schema.ts';
import { pageParts } from '../pipeline/page/page-index.ts';
import { modelScript } from '../pipeline/page/reader/page-data.ts';
import { validateGlb } from './model/validate-glb.ts';

export interface CatalogueFaults {
  wrong: string[];
  catalogues: number;
  models: number;
  pictures: number;
  others: number;
}

export async function catalogueFaults(out: string): Promise<CatalogueFaults> {
  const wrong: string[] = [];
  let models = 0;
  let pictures = 0;
  let others = 0;
  // what is for the couple and the maker alone stands in folders of their own
  const folders = readdirSync(out, { withFileTypes: true }).filter(
    (e) => e.isDirectory() && !e.name.startsWith('.') && !e.name.endsWith('-private'),
  );
  /** Whether a file is there with the bytes that the catalogue names. */
  function check(
    catalogue: string,
    { file, bytes, sha256 }: { file: string; bytes: number; sha256: string },
  ): void {
    const path = join(out, catalogue, file);
    const data = existsSync(path) ? readFileSync(path) : undefined;
    const sound = data?.length === bytes && createHash('sha256').update(data).digest('hex') === sha256;
    if (!sound)
      wrong.push(`${catalogue}/${file} is ${data ? 'not the file' : 'missing, the file'} that is named`);
  }
  for (const { name } of folders) {
    const folder = join(out, name);
    const parsed = catalogueSchema.safeParse(
      JSON.parse(readFileSync(join(folder, 'catalogue.json'), 'utf8')),
    );
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
        check(name, p);
      }
      const parts = item.bands.flatMap((b) => b.caster?.parts.flatMap((p) => p.files) ?? []);
      for (const f of [...(item.documents ?? []), ...parts]) {
        others++;
        check(name, f);
      }
    }
    for (const f of (parsed.data.swatches ?? []).flatMap(({ sheet, singles }) => [sheet, ...singles])) {
      others++;
      check(name, f);
    }
    const page = [
      'index.html',
      'catalogue.csv',
      'catalogue.jsonld',
      ...pageParts(parsed.data).map((p) => p.file),
      ...parsed.data.models.map((m) => modelScript(m.file)),
    ];
    for (const file of page) {
      others++;
      if (!existsSync(join(folder, file))) wrong.push(`${name}/${file} is missing`);
    }
  }
  return { wrong, catalogues: folders.length, models, pictures, others };
}
