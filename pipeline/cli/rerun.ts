/** Command lines told to people: as they can be pasted, without what may be secret. */
import { withoutPassword } from '../farm/queue-url.ts';
import { RELEASED } from '../store/installation.mjs';

/** The same command, for a shell, with further flags. */
export function rerunCommand(args: readonly string[], further: readonly string[]): string {
  const flags = [...withoutFlag(args, '--notify'), ...further.filter((f) => !args.includes(f))];
  return commandLine('make', flags.map(withoutPassword));
}

/** The command as it was given, for reports: addresses of queues and of whom to notify are left out. */
export function toldCommand(args: readonly string[]): string {
  return commandLine('make', args.map(withoutAddress));
}

/** Of a command to paste; who is notified is not repeated. */
export function toldRerun(args: readonly string[], further: readonly string[]): string {
  return toldCommand([...withoutFlag(args, '--notify'), ...further.filter((f) => !args.includes(f))]);
}

export function withoutUntil(args: readonly string[]): string[] {
  return withoutFlag(args, '--until');
}

function withoutFlag(args: readonly string[], flag: string): string[] {
  return args.filter((a, i) => a !== flag && !a.startsWith(`${flag}=`) && args[i - 1] !== flag);
}

function withoutAddress(argument: string): string {
  return argument.replace(/([a-z][a-z0-9+.-]*:\/\/).*/is, '$1…');
}

/** A command as it can be pasted where this one was given. */
export function commandLine(command: string, args: readonly string[]): string {
  return [called(), command, ...args.map((a) => quoted(a))].join(' ');
}

function called(): string {
  if (!RELEASED) return 'npm run -s bandwright --';
  return process.env.npm_command === 'exec' ? 'npx bandwright' : 'bandwright';
}

/**
 * As shells of the system take it. On Windows in double quotes, which `cmd` and PowerShell both know; what only one of
 * them would read as something else (`%`, `$`, a backtick) nobody can write for both, and is left as it is.
 */
export function quoted(arg: string, platform = process.platform): string {
  if (platform === 'win32') return /^[\w./:=@+,\\-]+$/.test(arg) ? arg : `"${arg.replaceAll('"', '\\"')}"`;
  return /^[\w./:=@%+,-]+$/.test(arg) ? arg : `'${arg.replaceAll("'", "'\\''")}'`;
}
