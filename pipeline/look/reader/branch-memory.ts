import type { Branch } from '../../tracer/acceleration.ts';

/** What is handed over with branches and not copied: memory of those that outgrew their rooms, which are shared. */
export const memoryOf = (branches: readonly Branch[] = []): ArrayBuffer[] =>
  branches.map(({ bytes }) => bytes.buffer).filter((memory) => memory instanceof ArrayBuffer);
