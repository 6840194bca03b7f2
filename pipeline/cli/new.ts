import { constants } from 'node:fs';
import { copyFile, mkdir, readdir, readFile } from 'node:fs/promises';
import { basename, extname, join, relative, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { isSafeCatalogue } from '../plan/folder-name.ts';
import { isMapping } from '../plan/raw-merge.ts';
import { DISK } from '../plan/reading.ts';
import { adviseName } from '../plan/suggestion.ts';
import { readYaml } from '../plan/yaml-source.ts';
import { writeDurably } from '../store/durable-file.ts';
import { STONES } from '../trade/stones.ts';
import { EXIT } from './exit.ts';
import type { Streams } from './progress.ts';
import { commandLine } from './rerun.ts';
import { CliError, parseCommand } from './usage.ts';

const OPTIONS = { from: { type: 'string', default: 'plain-court' } } as const;
/** Schemas of both files, by which an editor completes keys. */
const SCHEMAS = {
  config: new URL('../../configs/config.schema.json', import.meta.url),
  template: new URL('../../templates/template.schema.json', import.meta.url),
};

/**
 * `bandwright new <folder> [--from template]`: a small config, a template of one's own to shape, and the schemas of
 * both. Nothing that is there is ever written over: a folder that holds one of the files is refused before any is made.
 */
export async function begin(args: readonly string[], { out }: Streams): Promise<number> {
  const { values, config: written } = parseCommand(args, OPTIONS, 'folder');
  const folder = resolve(written);
  const name = slugOf(basename(folder));
  const template = await templateText(values.from);
  const files = {
    config: join(folder, `${name}.yaml`),
    template: join(folder, 'band.yaml'),
    configSchema: join(folder, 'config.schema.json'),
    templateSchema: join(folder, 'template.schema.json'),
  };
  if (files.config === files.template) files.config = join(folder, 'catalogue.yaml');
  const pictures = picturesOf(template).map((name) => ({
    from: join(DISK.templates, name),
    to: join(folder, name),
  }));
  await refuseTaken(folder, [...Object.values(files), ...pictures.map(({ to }) => to)]);
  await mkdir(folder, { recursive: true });
  await copyFile(fileURLToPath(SCHEMAS.config), files.configSchema, constants.COPYFILE_EXCL);
  await copyFile(fileURLToPath(SCHEMAS.template), files.templateSchema, constants.COPYFILE_EXCL);
  for (const { from, to } of pictures) await copyFile(from, to, constants.COPYFILE_EXCL);
  await writeDurably(files.template, ownTemplate(template));
  await writeDurably(files.config, configText(name, template));
  const config = relative('', files.config) || files.config;
  out.write(`${relative('', files.template)}   the band: lanes, seams, rows of stones; shape it
${config}   the catalogue: sizes, metals, shots, outputs

Next
${next([
  [commandLine('look', [config]), 'a page that shows the band while you shape it'],
  [commandLine('check', [config]), 'facts and bench checks in seconds, no pictures'],
  [commandLine('make', [config, '--draft']), 'small coarse pictures'],
  [commandLine('make', [config]), 'the catalogue'],
])}
Editors that know YAML schemas complete keys by the first line of each file.
`);
  return EXIT.ok;
}

function next(commands: readonly [command: string, what: string][]): string {
  const wide = Math.max(...commands.map(([command]) => command.length));
  return commands.map(([command, what]) => `  ${command.padEnd(wide)}   ${what}`).join('\n');
}

/** A folder's name as a catalogue's. */
function slugOf(name: string): string {
  const slug = name
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 32)
    .replace(/-+$/, '');
  return slug !== '' && isSafeCatalogue(slug) ? slug : 'bands';
}

async function templateText(name: string): Promise<string> {
  const known = (await readdir(DISK.templates))
    .filter((f) => extname(f) === '.yaml')
    .map((f) => basename(f, '.yaml'));
  if (known.includes(name)) return readFile(join(DISK.templates, `${name}.yaml`), 'utf8');
  throw new CliError(
    `--from: expected one of ${known.join(', ')} but received ${name}. ${adviseName(name, known)}`,
  );
}

async function refuseTaken(folder: string, files: readonly string[]): Promise<void> {
  const there = await readdir(folder).catch((error: NodeJS.ErrnoException): string[] => {
    if (error.code === 'ENOENT') return [];
    throw new CliError(`expected a folder but ${folder} is none`);
  });
  const taken = files.map((file) => basename(file)).filter((name) => there.includes(name));
  if (taken.length > 0)
    throw new CliError(
      `expected a folder without ${taken.join(', ')} but ${folder} has it; nothing was written`,
    );
}

/** Files beside the template whose grey values its lanes carry. */
function picturesOf(template: string): string[] {
  const { raw } = readYaml(template, 'band.yaml');
  const lanes = isMapping(raw) && isMapping(raw.lanes) ? Object.values(raw.lanes) : [];
  return lanes.flatMap((lane) => {
    const picture = isMapping(lane) && isMapping(lane.texture) ? lane.texture.picture : undefined;
    return typeof picture === 'string' ? [basename(picture)] : [];
  });
}

/** The template as it comes along, under a line that says whose it is now. */
function ownTemplate(text: string): string {
  return text.startsWith('# yaml-language-server')
    ? text
    : `# yaml-language-server: $schema=./template.schema.json\n${text}`;
}

/** Stones must be declared; what a new file says of them is an example, and says so. */
function configText(name: string, template: string): string {
  const raw = readYaml(template, 'band.yaml').raw;
  const rows = isMapping(raw) && isMapping(raw.rows) ? Object.values(raw.rows) : [];
  const stones = rows.flatMap((row) => (isMapping(row) ? [String(row.stone ?? 'diamond')] : []));
  const origins = [...new Set(stones)].map((id) => `${id}: ${STONES.get(id)?.origins[0] ?? 'natural'}`);
  const declared =
    origins.length === 0
      ? ''
      : `\n# What the stones really are: buyers must be told. Change it to what you buy.\norigins: { ${origins.join(', ')} }\n`;
  return `# yaml-language-server: $schema=./config.schema.json
catalogue: ${name}
title: ${JSON.stringify(name)}
workshop: My bench
template: ./band.yaml
${declared}
grid:
  size: [ISO 54]

shots: [three-quarter, flat-lay]
lights: soft-tent
frame: 720 px
quality: { noise: 5 % }
outputs: { images: [{ format: webp, widths: [720] }] }
`;
}
