/** Why an edit is not written, in the words of the page that asked for it. */
import type { Refusal } from '../problem.ts';
import type { Locale } from '../words/locale.ts';
import type { AskedEdit } from './contract.ts';

export type Refuse = (code: keyof Locale['messages']['shaping']['edits'], received: string) => Refusal;

/** What refuses this change: by its field or handle, or by what else it is of. */
export function refusing(change: AskedEdit, { messages }: Locale): Refuse {
  const path = 'id' in change ? change.id : change.kind.endsWith('order') ? 'orders' : '(file)';
  const advice = messages.shaping.edits;
  return (code, received) => ({
    problems: [{ code, severity: 'error', path, expected: 'an edit', received, advice: advice[code] }],
  });
}
