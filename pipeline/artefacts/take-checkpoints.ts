/** Where a run keeps the checkpoint of the take it is at: one file a take, named by the key of its record. */
import { access, rm } from 'node:fs/promises';
import { join } from 'node:path';
import type { CheckpointKeeper } from '../tracer/checkpoint.ts';
import { readCheckpoint, writeCheckpoint } from '../tracer/checkpoint-file.ts';

/** Seconds between checkpoints: what a power cut may cost. */
const EVERY = 20;

export interface TakeCheckpoints extends CheckpointKeeper {
  /** for when the films are stored */
  discard(): Promise<void>;
}

/** Whether somebody has begun it and not ended. */
export const hasCheckpoint = (folder: string, take: string): Promise<boolean> =>
  access(join(folder, take)).then(
    () => true,
    () => false,
  );

export function takeCheckpoints(folder: string, take: string, every = EVERY): TakeCheckpoints {
  const path = join(folder, take);
  return {
    every,
    load: (identity) => readCheckpoint(path, identity),
    save: (identity, pieces) => writeCheckpoint(path, identity, pieces),
    discard: () => rm(path, { force: true }),
  };
}
