import { formatProblem, ProblemError } from '../problem.ts';
import { EXIT } from './exit.ts';
import type { Out, Streams } from './progress.ts';
import { CliError, HELP } from './usage.ts';
import { VERSION } from './version.ts';

const line = (to: Out) => (text: string) => to.write(`${text}\n`);

type Command = (args: readonly string[], streams: Streams) => Promise<number> | number;

/** Each is loaded when it is asked for: a word of help must not wait for the tracer's code. */
const COMMANDS: Record<string, () => Promise<Command>> = {
  new: async () => (await import('./new.ts')).begin,
  look: async () => (await import('./look.ts')).look,
  plan: async () => (await import('./plan.ts')).plan,
  make: async () => (await import('./make.ts')).makeCommand,
  merge: async () => (await import('./merge.ts')).merge,
  worker: async () => (await import('./worker.ts')).worker,
  check: async () => (await import('./check.ts')).check,
  verify: async () => (await import('./verify.ts')).verify,
  'hand-over': async () => (await import('./hand-over.ts')).handOver,
  orders: async () => (await import('./orders.ts')).orders,
  gc: async () => (await import('./gc.ts')).gc,
  size: async () => {
    const { size } = await import('./size.ts');
    return (args, { out, err }) => size(args, line(out), line(err));
  },
  doctor: async () => {
    const { doctor } = await import('./doctor.ts');
    return (args) => doctor({ json: args.includes('--json') });
  },
  browser: async () => (await import('./browser.ts')).browser,
};

/** What the documents may name. */
export const COMMAND_NAMES: readonly string[] = [...Object.keys(COMMANDS), 'version', 'help'];

function stream(to: NodeJS.WriteStream): Out {
  // a reader that has seen enough (`| head`) closes the pipe: that is no fault
  to.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code === 'EPIPE') process.exit(process.exitCode ?? EXIT.ok);
    throw error;
  });
  return { write: (text) => to.write(text), terminal: to.isTTY === true, columns: to.columns ?? 100 };
}

/** Runs one command and returns its exit code; see `exit.ts`. */
export async function main(
  argv: readonly string[],
  streams: Streams = { out: stream(process.stdout), err: stream(process.stderr) },
): Promise<number> {
  const [command, ...rest] = argv;
  const json = rest.includes('--json');
  try {
    if (command === undefined || ['help', '--help', '-h'].includes(command)) {
      streams.out.write(HELP);
      return command === undefined ? EXIT.usage : EXIT.ok;
    }
    if (['version', '--version', '-v'].includes(command)) {
      streams.out.write(`${VERSION}\n`);
      return EXIT.ok;
    }
    if (!Object.hasOwn(COMMANDS, command))
      throw new CliError(
        `there is no command "${command}"; try: ${Object.keys(COMMANDS).join(', ')}, version, help`,
      );
    // before any schema is made
    await import('./uncompiled-schemas.ts');
    return await (await COMMANDS[command]())(rest, streams);
  } catch (error) {
    return report(error, streams, json);
  }
}

/** Problems on a screen: more are not read, and mostly follow from these. */
const MOST_TOLD = 50;
/** Characters of what is wrong with a command line, which may quote one of any length. */
const LONGEST_TOLD = 1000;

function report(error: unknown, { err }: Streams, json: boolean): number {
  if (error instanceof ProblemError) {
    if (json) err.write(`${JSON.stringify({ problems: error.problems })}\n`);
    else {
      for (const p of error.problems.slice(0, MOST_TOLD)) err.write(`${formatProblem(p)}\n`);
      const more = error.problems.length - MOST_TOLD;
      if (more > 0) err.write(`… and ${more} more; mend these first, or see all with --json.\n`);
    }
    return EXIT.usage;
  }
  if (error instanceof CliError) {
    const told =
      error.message.length > LONGEST_TOLD ? `${error.message.slice(0, LONGEST_TOLD)}…` : error.message;
    err.write(told.includes('bandwright help') ? `${told}\n` : `${told}\nSee: bandwright help\n`);
    return EXIT.usage;
  }
  if (error instanceof Error && error.name === 'AbortError') {
    err.write('Interrupted. What was finished is kept: run the same command again to go on.\n');
    return EXIT.interrupted;
  }
  throw error;
}
