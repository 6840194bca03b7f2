import path from 'node:path';
import { expect, it } from 'vitest';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import type { Problem } from '../../pipeline/problem.ts';
import { checkPlan } from '../../pipeline/run/check.ts';
import { inMemory } from '../plan/workspace.ts';

const CONFIG = `catalogue: trial
title: Trial
workshop: Trial bench
template: tideline
origins: { diamond: natural }
grid: { size: [ISO 55] }
shots: [three-quarter]
`;

/** Problems of the bands of a config, as code, path and the line that they point at. */
async function told(lines: string): Promise<string[][]> {
  const text = CONFIG + lines;
  const { plan, sources } = await readPlan(
    path.resolve('/workspace/config.yaml'),
    inMemory({ 'config.yaml': text }),
  );
  const { variants } = await checkPlan(plan, () => true, sources);
  const line = ({ place }: Problem) =>
    place && path.basename(place.file) === 'config.yaml'
      ? text.split('\n')[place.line - 1].trim()
      : (place?.file ?? '');
  return variants.map(({ problems }) => problems.flatMap((p) => [p.code, p.path, line(p)]));
}

it('names what lies wrong with the keys and at the line of the file', async () => {
  expect(await told('overrides:\n  rows:\n    crest:\n      set-depth: 1.2 mm\n')).toEqual([
    expect.arrayContaining(['stone-buried', 'rows.crest.set-depth', 'set-depth: 1.2 mm']),
  ]);
});

it('tells seams that cross, and seams that leave the band, in one message each', async () => {
  expect(
    await told('overrides:\n  seams:\n    near: { at: 70 % }\n    far: { amplitude: 0.2 mm, at: 75 % }\n'),
  ).toEqual([['seams-cross', 'seams.far', 'far: { amplitude: 0.2 mm, at: 75 % }']]);
  expect(
    await told('overrides:\n  seams:\n    near: { amplitude: 1.5 mm }\n    far: { amplitude: 1.5 mm }\n'),
  ).toEqual([
    [
      ...['seam-leaves-band', 'seams.near', 'near: { amplitude: 1.5 mm }'],
      ...['seam-leaves-band', 'seams.far', 'far: { amplitude: 1.5 mm }'],
    ],
  ]);
});

it('tells a mirrored partner’s lanes by their own names, where the pair changes them', async () => {
  const pairs = `pairs:
  - name: duo
    partner:
      mirror: true
      set:
        lanes:
          near-shore: { soften: 0.9 mm }
`;
  const [left, right] = await told(pairs);
  expect(left).toEqual([]);
  expect(right.slice(1, 3)).toEqual(['lanes.near-shore', 'near-shore: { soften: 0.9 mm }']);
});
