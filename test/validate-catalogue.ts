/**
 * `node --import ./pipeline/cli/typescript.mjs test/validate-catalogue.ts <output folder>`: every GLB through the Khronos validator (no errors, no warnings),
 * every catalogue.json through its schema, every picture, document, caster's part and swatch against its hash, and the
 * page's own files there. Exit 1 if anything is wrong.
 */
import { catalogueFaults } from './catalogue-faults.ts';

const { wrong, catalogues, models, pictures, others } = await catalogueFaults(process.argv[2]);
for (const w of wrong) console.error(w);
console.log(
  `${catalogues} catalogues: ${models} models valid by the Khronos validator, ${pictures} picture files and ${others} others sound, ${wrong.length} faults`,
);
process.exitCode = wrong.length > 0 || models === 0 || pictures === 0 ? 1 : 0;
