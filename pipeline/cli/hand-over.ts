import { realpath, stat } from 'node:fs/promises';
import { join, relative, resolve, sep } from 'node:path';
import { bucketAddress, bucketDestination } from '../publish/bucket-destination.ts';
import { readCatalogue } from '../publish/catalogue.ts';
import { folderDestination } from '../publish/folder-destination.ts';
import { type Destination, type HandOverPlan, performHandOver, planHandOver } from '../publish/hand-over.ts';
import { publicFiles } from '../publish/public-files.ts';
import { readOwn } from '../store/own-file.ts';
import { EXIT } from './exit.ts';
import { watchInterrupts } from './interrupts.ts';
import { bytes, type Streams } from './progress.ts';
import { CliError, parseCommand } from './usage.ts';

const OPTIONS = {
  to: { type: 'string' },
  copy: { type: 'boolean', default: false },
  endpoint: { type: 'string' },
  region: { type: 'string' },
  json: { type: 'boolean', default: false },
} as const;

/** Lines of a plan before the rest is counted. */
const MOST_LINES = 40;

/**
 * Brings a catalogue's folder to another folder or a bucket, by what changed; without `--copy` it only says what it would do.
 * What the catalogue does not name stays: its private folder lies elsewhere, and nothing leads there.
 */
export async function handOver(args: readonly string[], { out, err }: Streams): Promise<number> {
  const { values, config } = parseCommand(args, OPTIONS, 'folder');
  if (values.to === undefined)
    throw new CliError('expected --to <folder or s3://bucket/prefix> but received none');
  const folder = resolve(config);
  const catalogue = await readCatalogue(folder);
  if (!catalogue)
    throw new CliError(
      `expected the folder of a catalogue, with its catalogue.json, but received ${config}; make the catalogue first`,
    );
  const files = await publicFiles(folder, catalogue);
  const interrupts = watchInterrupts((text) => err.write(`${text}\n`));
  const to = await destinationOf(values.to, folder, values);
  try {
    const plan = await planHandOver(folder, files, to);
    if (values.json)
      out.write(`${JSON.stringify({ to: to.name, copied: values.copy, ...plan, record: undefined })}\n`);
    else out.write(describe(plan, to.name, values.copy));
    if (values.copy)
      await performHandOver(plan, to, {
        read: (file) => readOwn(join(folder, file)),
        told: () => {},
        signal: interrupts.signal,
      });
    const { copy, remove } = plan;
    if (values.copy && !values.json && copy.length + remove.length > 0)
      out.write(`Done: ${copy.length} copied, ${remove.length} removed.\n`);
    return EXIT.ok;
  } finally {
    interrupts.dispose();
    await to.close();
  }
}

async function destinationOf(
  text: string,
  folder: string,
  { endpoint, region }: { endpoint?: string; region?: string },
): Promise<Destination> {
  const address = bucketAddress(text);
  if (address) {
    if (endpoint !== undefined && !/^https?:\/\/[^/@?#]+\/?$/.test(endpoint))
      throw new CliError(
        '--endpoint: expected an address such as "https://s3.example.com" without a password',
      );
    return bucketDestination(address, { endpoint, region });
  }
  if (/^[a-z][a-z0-9+.-]*:\/\//i.test(text))
    throw new CliError(
      `--to: expected a folder or an address such as "s3://bucket/prefix" but received ${text.split('://')[0]}://…; mount the place as a folder, or use your own copying tool on the catalogue's folder`,
    );
  const place = resolve(text);
  const found = await stat(place).catch(() => undefined);
  if (found && !found.isDirectory())
    throw new CliError(`--to: expected a folder but received a file, ${text}`);
  const inside = (a: string, b: string) => {
    const between = relative(a, b);
    return (
      between === '' || (!between.startsWith(`..${sep}`) && between !== '..' && between !== resolve(between))
    );
  };
  const real = found ? await realpath(place) : place;
  const own = await realpath(folder);
  if (inside(own, real) || inside(real, own))
    throw new CliError(
      '--to: expected a folder apart from the catalogue’s own but received one within the other',
    );
  return folderDestination(place);
}

function describe({ copy, remove, unchanged, others }: HandOverPlan, to: string, now: boolean): string {
  const size = bytes(copy.reduce((sum, c) => sum + c.bytes, 0));
  const lines = [
    `${to}: ${copy.length} files to copy (${size}), ${remove.length} to remove, ${unchanged} there already`,
    ...shortened([
      ...copy.map((c) => `  ${c.new ? 'new    ' : 'changed'}  ${c.file}`),
      ...remove.map((file) => `  remove   ${file}`),
    ]),
    ...(others.length > 0
      ? [
          `${others.length} files in the folder are no part of the catalogue and stay here:`,
          ...shortened(others.map((file) => `  ${file}`)),
        ]
      : []),
    now ? '' : copy.length + remove.length > 0 ? 'Nothing was copied yet: run it again with --copy.' : '',
  ];
  return `${lines.filter(Boolean).join('\n')}\n`;
}

function shortened(lines: readonly string[]): string[] {
  const more = lines.length - MOST_LINES;
  return more > 0 ? [...lines.slice(0, MOST_LINES), `  … and ${more} more (--json has all)`] : [...lines];
}
