/** Fields that the catalogue's schemas share. */
import * as z from 'zod';

export const text = z.string();
export const positive = z.number().positive();
export const amount = z.number().nonnegative();
export const count = z.int().nonnegative();
export const hash = z.string().regex(/^[0-9a-f]{64}$/);

/** A file of the catalogue, to be checked by. */
export const file = {
  file: text.describe('path from the catalogue folder'),
  bytes: count,
  sha256: hash,
};
