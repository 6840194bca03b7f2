import * as z from 'zod';

const scalar = z.union([z.string(), z.number()], {
  error: () => 'the label, slug or value of an axis value',
});
/** Which variants something is for. */
export const match = z
  .record(
    z.string(),
    z.union([scalar, z.array(scalar).min(1)], { error: () => 'a value or a list of values' }),
  )
  .refine((m) => Object.keys(m).length > 0, { error: () => 'at least one axis' })
  .describe('axis: value, or axis: [values]');

export type Match = z.output<typeof match>;
