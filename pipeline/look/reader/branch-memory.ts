import type { Branch } from '../../tracer/acceleration.ts';

/** What is handed over with branches, and not copied. */
export const memoryOf = (branches: readonly Branch[] = []): ArrayBuffer[] =>
  branches.map(({ bytes }) => bytes.buffer as ArrayBuffer);
