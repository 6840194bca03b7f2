import { spawn } from 'node:child_process';
import { relative } from 'node:path';
import { lookFiles } from '../look/page-files.ts';
import { type MakeCommand, ProofRuns } from '../look/proof-run.ts';
import { openLookServer } from '../look/server.ts';
import { LookSession } from '../look/session.ts';
import { openSource } from '../look/source.ts';
import { EXIT } from './exit.ts';
import { withOutput } from './output-folder.ts';
import type { Streams } from './progress.ts';
import { commandLine } from './rerun.ts';
import { CliError, parseCommand } from './usage.ts';

const OPTIONS = {
  'read-only': { type: 'boolean', default: false },
  port: { type: 'string' },
} as const;

/** Serves the live view until it is interrupted. */
export async function look(args: readonly string[], { out, err }: Streams): Promise<number> {
  const { values, config } = parseCommand(args, OPTIONS);
  const port = portFrom(values.port);
  const source = await openSource(config).catch((error) => {
    throw new CliError(
      `expected a config, a template file or the name of a template that comes along but received "${config}": ${error instanceof Error ? error.message : error}`,
    );
  });
  // templates that come along are nobody's to edit
  const readOnly = values['read-only'] || source.shipped;
  // a template alone stands in no config, which orders could belong to
  const make = source.configFile === source.file ? makeCommand(source.file) : undefined;
  const session = await LookSession.open(source, { readOnly, command: make?.told });
  const proofs = make && new ProofRuns(make);
  session.warm();
  const files = await lookFiles((line) => err.write(`${line}\n`));
  const server = await openLookServer({
    session,
    files,
    port,
    ...(readOnly ? {} : { hands: { edit: (request) => session.edit(request), proofs } }),
  }).catch((error) => {
    throw new CliError(`--port ${port}: ${error instanceof Error ? error.message : error}`);
  });
  out.write(`${server.url}\nThe live view of ${source.file}. End it with Ctrl+C.\n`);
  openInBrowser(server.url);
  await interrupted();
  proofs?.stop();
  await server.close();
  await session.close();
  return EXIT.ok;
}

/** `make` of this very installation for a config. */
function makeCommand(config: string): MakeCommand {
  const { values } = withOutput({ values: {}, config });
  return {
    told: (flags) => commandLine('make', [relative('', config) || config, ...flags]),
    start: (flags) => {
      const [, script] = process.argv;
      const args = [...process.execArgv, script, 'make', config, ...flags];
      return spawn(process.execPath, args, { stdio: ['ignore', 'pipe', 'pipe'] });
    },
    out: values.out,
  };
}

function portFrom(text: string | undefined): number {
  if (text === undefined) return 0;
  const port = Number(text);
  if (!Number.isInteger(port) || port < 1 || port > 65535)
    throw new CliError(`--port: expected a number from 1 to 65535 but received ${text}`);
  return port;
}

/** By the system's own opener; the address is printed, so a system without one lacks nothing. */
function openInBrowser(url: string): void {
  const openers: Partial<Record<NodeJS.Platform, [string, string[]]>> = {
    darwin: ['open', [url]],
    win32: ['cmd', ['/c', 'start', '', url]],
  };
  const [command, args] = openers[process.platform] ?? ['xdg-open', [url]];
  const opener = spawn(command, args, { stdio: 'ignore', detached: true });
  opener.on('error', () => {});
  opener.unref();
}

function interrupted(): Promise<void> {
  return new Promise((resolve) => {
    for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => resolve());
  });
}
