import { expect, it } from 'vitest';
import { FILM } from '../../pipeline/artefacts/film.ts';
import { shotNames, withShots } from '../../pipeline/run/chosen-shots.ts';
import { planWork } from '../../pipeline/run/work.ts';
import { planOf } from '../plan/workspace.ts';

const CONFIG = `catalogue: trial
title: Trial
workshop: Trial bench
template: plain-court
grid: { size: [ISO 53, ISO 54], metal: [yellow-18, rose-18] }
shots: [three-quarter, { view: turntable, frames: 24 }, pair]
pairs: [{ name: duo, when: { size: ISO 53 }, partner: { size: ISO 60 } }]
`;

it('asks for a shot by its name and for a turntable as a whole', async () => {
  const { plan } = await planOf(CONFIG);
  expect(shotNames(plan)).toEqual(['three-quarter', 'turntable', 'pair']);
  expect(withShots(plan, ['turntable'])?.shots).toHaveLength(24);
});

it('keeps the bands that are seen there, in a folder of their own', async () => {
  const { plan } = await planOf(CONFIG);
  const pair = withShots(plan, ['pair']);
  expect(pair?.variants).toEqual([]);
  expect(pair?.pairs).toHaveLength(2);
  expect(pair?.catalogue).toBe('trial-pair');
  expect(withShots(plan, ['three-quarter'])?.variants).toHaveLength(4);
  expect(withShots({ ...plan, takes: [] }, ['pair'])).toBeUndefined();
});

it('traces under the keys of the whole catalogue', async () => {
  const { plan } = await planOf(CONFIG);
  const chosen = withShots(plan, ['three-quarter']);
  if (!chosen) throw new Error('expected a plan');
  const options = { versions: {}, logos: new Map<string, string>() };
  const keys = (p: typeof plan) =>
    planWork(p, options)
      .pieces(FILM)
      .flatMap(({ films }) => films);
  expect(keys(chosen).length).toBe(4);
  expect(keys(plan)).toEqual(expect.arrayContaining(keys(chosen)));
});
