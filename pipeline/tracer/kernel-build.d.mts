/**
 * Compiles the AssemblyScript kernel to `outFile` (WebAssembly binary) unless a build of the same sources by the same
 * compiler is already there. Throws with the compiler's report on failure.
 */
export function buildKernel(outFile: string): Promise<{
  /** absolute path of the binary */
  file: string;
  /** sha-256 (hex) over the sources, the compiler's version and its options: belongs into content keys of films */
  hash: string;
  /** false when the binary was up to date */
  built: boolean;
}>;
