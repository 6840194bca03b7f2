/** Exit codes of every command. */
export const EXIT = {
  /** everything asked for was made, or every check passed */
  ok: 0,
  /** some variants failed, or a check did */
  failed: 1,
  /** the config or the command line cannot be used; nothing was made */
  usage: 2,
  /** the time asked for with --until came before everything was made; running again goes on */
  unfinished: 3,
  /** Ctrl-C or SIGTERM; running the command again goes on */
  interrupted: 130,
} as const;
