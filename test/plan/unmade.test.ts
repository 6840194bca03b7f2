import { expect, it } from 'vitest';
import { config, problemsOf } from './workspace.ts';

const plain = (overrides: string, more: Record<string, string> = {}) =>
  config({
    template: 'template: plain-court',
    overrides: `overrides: ${overrides}`,
    grid: 'grid: { size: [ISO 54] }',
    shots: 'shots: [front]',
    ...more,
  });

it.each([
  ['a heart', config({ overrides: 'overrides: { rows: { crest: { cut: heart } } }' }), /never hollow/],
])('%s is refused with the reason where it is written', async (_, text, why) => {
  const problems = await problemsOf(text);
  expect(problems.map(({ advice }) => advice).join('\n')).toMatch(why);
});

it('a slip is still told with the name that was meant', async () => {
  const [slip] = await problemsOf(plain('{ lanes: { band: { alloy: ceramic-blak } } }'));
  expect(slip).toMatchObject({ code: 'unknown-name', advice: 'Did you mean "ceramic-black"?' });
});
