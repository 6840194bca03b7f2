import * as z from 'zod';

/** Name of the queue and prefix of its keys in Redis. */
export const QUEUE = 'takes';
export const PREFIX = 'bandwright';

const hex = z.string().regex(/^[0-9a-f]{16,64}$/);

/** One take to be made into the store of the shared folder. Strict: what came from elsewhere is not guessed at. */
export const takePayload = z.strictObject({
  version: z.literal(1),
  /** hash of the plan in the shared folder */
  plan: hex,
  /** content key of the take's record as the cores would make it, by whichever engine it is traced */
  record: hex,
  /** hash of the code that decides content: who has other code cannot make this take */
  engine: hex,
});

export type TakePayload = z.infer<typeof takePayload>;
