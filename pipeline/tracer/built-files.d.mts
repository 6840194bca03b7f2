/**
 * Builds what is missing or older than its sources (nothing: some 10 ms); a released package has it built. Any number of processes may call it at
 * once. Throws with the compiler's report.
 */
export function buildFiles(
  cacheDir?: string,
  log?: (line: string) => void,
): Promise<{
  /** absolute paths */
  kernel: string;
  page: string;
  worker: string;
  card: string;
}>;
