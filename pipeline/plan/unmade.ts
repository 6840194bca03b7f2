import { editDistance } from './suggestion.ts';

/** What bands are asked for and Bandwright does not make, with the reason, where somebody writes its name. */
interface Unmade {
  /** one of the names that may stand in that place */
  beside: string;
  names: RegExp;
  why: string;
}

const UNMADE: readonly Unmade[] = [
  {
    beside: 'round-brilliant',
    names: /heart|herz/,
    why: 'A heart turns inwards at its cleft, and stones are the space within flat facets, which is never hollow: pear-brilliant comes nearest.',
  },
];

/** Slips of as many letters are taken for the name that is known. */
const SLIP = 2;

/** Why what somebody wrote cannot be had, where its place has those names. */
export function whyUnmade(written: string, known: readonly string[]): string | undefined {
  const name = written.slice(0, 64).toLowerCase();
  if (
    known.some((other) => Math.abs(other.length - name.length) <= SLIP && editDistance(name, other) <= SLIP)
  )
    return undefined;
  return UNMADE.find(({ beside, names }) => known.includes(beside) && names.test(name))?.why;
}
