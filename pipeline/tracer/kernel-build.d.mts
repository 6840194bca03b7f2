/**
 * Compiles the AssemblyScript kernel, whatever was built before. Throws with the compiler's report on failure.
 */
export function compileKernel(): Promise<{
  /** the WebAssembly module */
  binary: Uint8Array;
  /** absolute paths of the sources that the compiler read */
  inputs: string[];
}>;
