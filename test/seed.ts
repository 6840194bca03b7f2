/**
 * Property tests draw the same inputs every time, so that a change fails by what it changed and never by luck. Other inputs
 * are drawn by `BANDWRIGHT_SEED`, a number, or `random` for a search; a counterexample names its seed.
 */
import fc from 'fast-check';

const { BANDWRIGHT_SEED } = process.env;
if (BANDWRIGHT_SEED !== 'random') fc.configureGlobal({ seed: Number(BANDWRIGHT_SEED ?? 1) });
