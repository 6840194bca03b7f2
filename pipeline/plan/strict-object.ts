import * as z from 'zod';

export const LOCAL_NAME = 'a name of small letters, digits and hyphens other than "constructor"';

/** A name of our own choosing in a file: lanes, seams, rows, axes, shots. Every object has a `constructor` already. */
export const localName = z
  .string()
  .regex(/^[a-z][a-z0-9-]{0,31}$/, { error: () => LOCAL_NAME })
  .refine((name) => name !== 'constructor', { error: () => LOCAL_NAME });

/** Mapping whose keys are all known; an unknown key is reported with the keys there are. */
export function strict<S extends z.ZodRawShape>(shape: S) {
  return z.strictObject(shape, {
    error: (issue) => (issue.code === 'unrecognized_keys' ? Object.keys(shape).join(' ') : undefined),
  });
}

/** A name out of a table or list. */
export function oneOf<const T extends string>(names: readonly T[]) {
  return z.enum(names as readonly [T, ...T[]]);
}

/** `"a", "b" or "c"`, as messages say what was expected. */
export function quotedChoice(names: readonly string[]): string {
  const quoted = names.map((name) => `"${name}"`);
  return [quoted.slice(0, -1).join(', '), ...quoted.slice(-1)].filter(Boolean).join(' or ');
}

/**
 * One line of text that is printed. Checked by steps: a bounded repeat of a Unicode class in one expression
 * takes more memory to compile than V8 gives.
 */
export function printed(most: number) {
  return z
    .string()
    .max(most)
    .refine((text) => /\S/.test(text) && !/\p{Cc}/u.test(text), { error: () => 'one line of text' });
}
