/**
 * Builds unless all outputs are there and nothing that went into them has changed.
 * @param stamp file where the inputs of the last build are noted
 * @param compiler the package that builds
 * @param outputs absolute paths
 * @param make builds them and gives the files that it read
 * @throws what `make` throws, and errors of writing
 */
export declare function unlessSame(
  stamp: string,
  compiler: string,
  outputs: readonly string[],
  make: () => Promise<string[]>,
): Promise<void>;

/**
 * A digest over what the file system tells of files, each with its size and when it and its entry were last changed: none of
 * them has changed where it is the same. Another one, as after copying them, says nothing.
 * @param files relative to the root
 */
export declare function fileStates(files: readonly string[]): string;

/** Writes a file so that no other process ever sees half of it. */
export declare function replace(file: string, contents: string | Uint8Array): void;
