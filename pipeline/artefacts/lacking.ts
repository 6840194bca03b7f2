import { problem } from '../band/problem-words.ts';
import type { Refusal } from '../problem.ts';

/** What something of the catalogue cannot be put together without; the run has told by then why it is not there. */
export function lacking(what: string, path: string): Refusal {
  const advice = 'Mend what failed before it and run it again.';
  return { problems: [problem('incomplete', path, 'all that it is made of', what, advice)] };
}

/** As runs tell it in a word: what was found in place of what is needed. */
export const lackWording = ({ problems }: Refusal): string =>
  problems.map(({ received }) => received).join('; ');
