import { formatProblem, ProblemError } from '../problem.ts';
import { check } from './check.ts';
import { EXIT } from './exit.ts';
import { gc } from './gc.ts';
import { make } from './make.ts';
import { merge } from './merge.ts';
import { plan } from './plan.ts';
import type { Out, Streams } from './progress.ts';
import { size } from './size.ts';
import { CliError, HELP } from './usage.ts';
import { verify } from './verify.ts';

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
  const line = (to: Out) => (text: string) => to.write(`${text}\n`);
  const json = rest.includes('--json');
  try {
    switch (command) {
      case 'new':
        return await (await import('./new.ts')).begin(rest, streams);
      case 'plan':
        return await plan(rest, streams);
      case 'make':
        return await make(rest, streams);
      case 'merge':
        return await merge(rest, streams);
      case 'worker':
        return await (await import('./worker.ts')).worker(rest, streams);
      case 'check':
        return await check(rest, streams);
      case 'look':
        return await (await import('./look.ts')).look(rest, streams);
      case 'verify':
        return await verify(rest, streams);
      case 'gc':
        return await gc(rest, streams);
      case 'size':
        return size(rest, line(streams.out), line(streams.err));
      case 'doctor':
        return await (await import('./doctor.ts')).doctor({ json });
      case 'help':
      case '--help':
      case '-h':
      case undefined:
        streams.out.write(HELP);
        return command === undefined ? EXIT.usage : EXIT.ok;
      default:
        throw new CliError(
          `there is no command "${command}"; try: new, plan, make, merge, worker, check, look, verify, gc, size, doctor, help`,
        );
    }
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
