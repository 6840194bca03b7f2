import { writeFile } from 'node:fs/promises';
import { jsonSchemas, schemaText } from './json-schemas.ts';

// Writes the committed JSON Schemas anew; run by `npm run schemas` after a change of a schema.
const { config, template, studio } = jsonSchemas();
await writeFile(new URL('../../configs/config.schema.json', import.meta.url), schemaText(config));
await writeFile(new URL('../../templates/template.schema.json', import.meta.url), schemaText(template));
await writeFile(new URL('../../templates/studios/studio.schema.json', import.meta.url), schemaText(studio));
