import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse } from 'yaml';
import { configSchema } from '../../pipeline/plan/config-schema.ts';
import { studioSchema } from '../../pipeline/plan/studio-schema.ts';
import { templateSchema } from '../../pipeline/plan/template-schema.ts';
import { ROOT } from '../../pipeline/store/installation.mjs';
import { examplesFor, filesOf, yamlBlocks } from './examples.ts';
import { type GalleryBand, galleryBands } from './gallery.ts';
import { keysOf, keyTables } from './keys.ts';
import { filled, table } from './markdown.ts';
import { rulesTable } from './rules.ts';
import { checksOf, sectionDrawings, sectionGallery } from './sections.ts';
import { SKETCHES } from './sketches.ts';
import { tradeTables } from './tables.ts';

/** Documents with a generated part. */
export const DOCUMENTS = {
  configs: 'configs/README.md',
  templates: 'templates/README.md',
  studios: 'templates/studios/README.md',
  trade: 'pipeline/trade/README.md',
  rules: 'pipeline/setting/RULES.md',
} as const;

export const documentText = (file: string) => readFileSync(join(ROOT, file), 'utf8');

/** Every generated file as it should be today: documents with their generated parts, and drawings. */
export async function generated(): Promise<Record<string, string>> {
  const configs = documentText(DOCUMENTS.configs);
  const templates = withPictures(documentText(DOCUMENTS.templates));
  const studios = documentText(DOCUMENTS.studios);
  const bands = galleryBands(templates);
  const configExamples = [...yamlBlocks(configs), ...filesOf('configs')];
  const templateExamples = [...filesOf('templates'), ...bands.map((band) => band.yaml)];
  const studioExamples = [...filesOf('templates/studios'), ...yamlBlocks(studios)];
  const drawings = { ...(await sectionDrawings()), ...sketchFiles() };
  return {
    [DOCUMENTS.configs]: filled(configs, { keys: keys(configSchema, configExamples) }),
    [DOCUMENTS.templates]: filled(templates, {
      templates: templateGallery(),
      sections: sectionGallery(),
      keys: keys(templateSchema, templateExamples),
    }),
    [DOCUMENTS.studios]: filled(studios, {
      studios: studioTable(),
      keys: keys(studioSchema, studioExamples),
    }),
    [DOCUMENTS.trade]: filled(documentText(DOCUMENTS.trade), tradeTables()),
    [DOCUMENTS.rules]: filled(documentText(DOCUMENTS.rules), {
      rules: rulesTable(await checksOf(bands)),
    }),
    ...Object.fromEntries(Object.entries(drawings).map(([name, svg]) => [`templates/pictures/${name}`, svg])),
  };
}

const sketchFiles = () =>
  Object.fromEntries(Object.entries(SKETCHES).map(([name, svg]) => [`sketch-${name}.svg`, svg]));

function keys(schema: Parameters<typeof keysOf>[0], examples: readonly string[]): string {
  const all = keysOf(schema);
  return keyTables(all, examplesFor(all, examples));
}

function picture(name: string, words: string): string {
  const file = `pictures/${name}.webp`;
  return existsSync(join(ROOT, 'templates', file)) ? `![${words}](${file})\n\n` : '';
}

/** The picture of each band of the gallery stands before its lines once it has been made. */
function withPictures(text: string): string {
  return text.replace(
    /(<!-- band: ([a-z-]+) on [^\n]*-->\n)(?:!\[[^\n]*\n\n)?(?=```yaml)/g,
    (_, comment, name) => comment + picture(name, 'The lines below, as they come out'),
  );
}

const yamlNames = (folder: string) =>
  readdirSync(join(ROOT, folder))
    .filter((file) => file.endsWith('.yaml'))
    .map((file) => file.slice(0, -5));

export const templateBands = (): GalleryBand[] =>
  yamlNames('templates').map((template) => ({
    name: `template-${template}`,
    template,
    view: 'three-quarter',
    yaml: '',
  }));

const titleAndWords = (file: string) =>
  parse(readFileSync(join(ROOT, file), 'utf8')) as { title: string; about?: string };

function templateGallery(): string {
  return yamlNames('templates')
    .map((name) => {
      const { title, about = '' } = titleAndWords(`templates/${name}.yaml`);
      return `### ${title}\n\n${picture(`template-${name}`, title)}${about.trim()} Its lines: [${name}.yaml](${name}.yaml); a copy of your own: \`bandwright new my-rings --from ${name}\`.`;
    })
    .join('\n\n');
}

function studioTable(): string {
  const rows = yamlNames('templates/studios').map((name) => {
    const { title, about = '' } = titleAndWords(`templates/studios/${name}.yaml`);
    return [`[\`${name}\`](${name}.yaml)`, title, about];
  });
  return table(['studio', 'title', 'what it is for'], rows);
}
