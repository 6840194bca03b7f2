import { type ParseArgsConfig, parseArgs } from 'node:util';

/** A command line that cannot be used. */
export class CliError extends Error {}

export const HELP = `Bandwright turns a config file into a finished catalogue of wedding bands.

  bandwright new <folder> [--from <template>]
                                a small config and a template of your own, to begin with
  bandwright plan <config>      what would be made: shapes, takes, pictures, what is cached, time and disk
  bandwright make <config>      make or complete the catalogue
  bandwright merge <config> --from <folder>…
                                copy what shards made into the store and publish; traces nothing
  bandwright worker --queue <url> --store <folder>
                                trace takes for "make --queue" on any machine that shares the folder
  bandwright check <config>     build every shape and print facts and bench checks; no pictures
  bandwright look <config>      a page that shows the band while you shape it; a template will do too
  bandwright verify <config>    hash again all that is published and stored; --repair makes anew what is damaged
  bandwright hand-over <catalogue> --to <folder or s3://bucket/prefix>
                                what would be copied to where the catalogue will stand; --copy does it
  bandwright orders <config or catalogue>
                                which proofs are approved, changed since, expired or not answered
  bandwright gc --keep <size>   clear the store down to a size; what catalogues use stays
  bandwright size "<text>"      one ring size in every system, e.g. "US 7 1/2"
  bandwright doctor             look at this machine: packages, kernel, browser, speed
  bandwright browser            which browser pictures are traced in; fetches one where there is none
  bandwright version

Options
  --out <folder>     where catalogues and the store live (default: beside the config)  all of a folder
  --only <what>      only SKUs that match, e.g. "SC-ISO53-*", or bands by their axes,
                     e.g. "metal=R18,size=ISO 5*"                                make, check
  --shot <name>      only this shot, in a catalogue of its own; may be repeated      make
  --draft            small, coarse pictures in a catalogue of their own              plan, make
  --jobs <n>         workers that trace (default: one per core)                      make, plan, worker
  --engine <auto|cpu|gpu>
                     trace by the processor's cores, the graphics card, or the faster of both  make, worker
  --memory <size>    most that Node and browser may hold together, e.g. "2 GB" (Linux)  make, worker
  --nice <1…19>      let other programs go first: the whole process tree yields      make, worker
  --pause-above-load <cores>
                     wait before a take while others keep more cores busy            make
  --pause-on-battery wait before a take while the machine runs on its battery        make
  --until <07:00>    end by then: quality lowered within bounds, the rest left      make
  --events <file>    append every event as a line of JSON                          make
  --report <file>    a copy of the run's report (output/.bandwright/reports holds the latest 30)  make
  --summary <file>   the run in one paragraph of plain text                         make
  --notify <url>     post the run's summary there as JSON when it ends, however; or BANDWRIGHT_NOTIFY  make
  --wait             wait while another run uses the folder, instead of refusing     make, verify, gc
  --retry            try again takes that were left out for failing too often        make
  --shard <i/n>      make only the i-th of n shares into the store; publishes nothing  make
  --queue <url>      redis:// queue of takes that workers make; or BANDWRIGHT_QUEUE for worker  make, worker
  --copy             do what was only said                                          hand-over
  --replies <folder> where couples' replies lie (default: "replies" in the private folder)  orders
  --endpoint <url>   of a bucket that is not Amazon’s; --region <name>               hand-over
  --read-only        the page only looks and writes into no file                   look
  --port <n>         of the page's address (default: any that is free)             look
  --json             facts as JSON; make prints one event a line                     all
  NO_COLOR is respected. BANDWRIGHT_BROWSER names the Chromium to use. BANDWRIGHT_PATIENCE is how many
  seconds a browser may stand still before its take is tried anew (default 60).
  BANDWRIGHT_QUEUE_PASSWORD_FILE names a file with the queue's password; or BANDWRIGHT_QUEUE_PASSWORD holds it.

Exit codes: 0 all made, 1 some variants or checks failed or something is damaged, 2 config, usage or
output folder cannot be used, 3 ended by --until with takes left, 130 interrupted.
`;

/** No name or pattern is longer; paths of Linux are not (PATH_MAX). */
const MOST_CHARACTERS = 4096;

/** Refuses texts that are empty, which would mean the current folder or nothing at all, or that no system takes. */
function checkTexts(values: Record<string, unknown>): void {
  for (const [name, value] of Object.entries(values))
    for (const text of [value].flat()) {
      if (typeof text !== 'string') continue;
      const length = `${text.length} characters`;
      if (text.trim() === '')
        throw new CliError(
          `--${name}: expected a value but received an empty one; leave the flag out or say what`,
        );
      if (text.length > MOST_CHARACTERS)
        throw new CliError(
          `--${name}: expected at most ${MOST_CHARACTERS} characters but received ${length}`,
        );
      if (/\p{Cc}/u.test(text))
        throw new CliError(
          `--${name}: expected one line of text but received control characters among ${length}`,
        );
    }
}

/** Parses flags strictly; no positional. */
export function parseFlags<T extends NonNullable<ParseArgsConfig['options']>>(
  args: readonly string[],
  options: T,
) {
  try {
    const { values } = parseArgs({ args: [...args], options, strict: true });
    checkTexts(values);
    return values;
  } catch (error) {
    if (error instanceof TypeError) throw new CliError(`${error.message}\nSee: bandwright help`);
    throw error;
  }
}

/** Parses flags strictly; exactly one positional: the config, or what else a command is told. */
export function parseCommand<T extends NonNullable<ParseArgsConfig['options']>>(
  args: readonly string[],
  options: T,
  what: 'config file' | 'folder' | 'config file or catalogue folder' = 'config file',
) {
  try {
    const { values, positionals } = parseArgs({
      args: [...args],
      options,
      allowPositionals: true,
      strict: true,
    });
    if (positionals.length !== 1) {
      throw new CliError(
        `expected one ${what} but received ${positionals.length === 0 ? 'none' : positionals.join(', ')} on the command line`,
      );
    }
    checkTexts(values);
    const [config] = positionals;
    if (config.trim() === '' || config.length > MOST_CHARACTERS || /\p{Cc}/u.test(config))
      throw new CliError(
        `expected the path of a ${what} but received ${config.trim() === '' ? 'an empty text' : 'one that no system takes'}`,
      );
    return { values, config };
  } catch (error) {
    if (error instanceof TypeError) throw new CliError(`${error.message}\nSee: bandwright help`);
    throw error;
  }
}

const UNITS: Record<string, number> = { B: 1, KB: 1e3, MB: 1e6, GB: 1e9, TB: 1e12 };

/** `20 GB` in bytes; units are decimal, as on disks. */
export function byteCount(flag: string, text: string | undefined): number {
  const [, figure, unit] = /^\s*(\d+(?:\.\d+)?)\s*([kmgt]?b)\s*$/i.exec(text ?? '') ?? [];
  if (figure === undefined)
    throw new CliError(`${flag}: expected a size such as "20 GB" but received ${text ?? 'none'}`);
  return Math.round(Number(figure) * UNITS[unit.toUpperCase()]);
}
