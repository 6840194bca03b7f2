/**
 * Compiles the AssemblyScript kernel to `outFile` (WebAssembly binary) unless a build of the same sources by the same
 * compiler is already there. Throws with the compiler's report on failure.
 */
export function buildKernel(outFile: string): Promise<{
  /** absolute path of the binary */
  file: string;
  /** sha-256 (hex) over the kernel's sources, the host's packing, the compiler's version and options: belongs into film keys */
  hash: string;
  /** false when the binary was up to date */
  built: boolean;
}>;
