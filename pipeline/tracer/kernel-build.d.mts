/**
 * Compiles an AssemblyScript module of kernel/, whatever was built before: the tracer's kernel unless told otherwise. Throws
 * with the compiler's report on failure.
 */
export function compileKernel(entry?: 'index.ts' | 'filter.ts'): Promise<{
  /** the WebAssembly module */
  binary: Uint8Array;
  /** absolute paths of the sources that the compiler read */
  inputs: string[];
}>;
