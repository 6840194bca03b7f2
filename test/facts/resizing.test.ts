import { expect, it } from 'vitest';
import { checkPlan } from '../../pipeline/run/check.ts';
import { config, planOf } from '../plan/workspace.ts';

it('calls every seam by its course', async () => {
  const seams = {
    straight: '{ kind: straight, at: 1.2 mm }',
    drift: '{ kind: drift, from: 2.4 mm, to: 3.6 mm }',
    points: '{ kind: points, through: [4.6 mm, 4.8 mm, 4.6 mm, 4.4 mm] }',
  };
  const lanes = ['a', 'b', 'c', 'd'].map((name) => `  ${name}: { alloy: yellow-18, finish: polished }`);
  const template = [
    'title: Three seams',
    'section: { name: flat, edge: 0.2 mm, bore-edge: 0.2 mm }',
    'width: 6 mm',
    'thickness: 1.8 mm',
    'lanes:',
    ...lanes,
    'seams:',
    ...Object.entries(seams).map(([name, seam]) => `  ${name}: ${seam}`),
    '',
  ].join('\n');
  const { plan } = await planOf(
    config({
      template: 'template: ./three.yaml',
      origins: '',
      overrides: 'overrides: { chord-tolerance: 0.1 mm }',
      grid: 'grid: { size: [ISO 53, ISO 60] }',
    }),
    { 'three.yaml': template },
  );
  const [{ stays }] = (await checkPlan(plan, () => true)).resizing;
  expect(stays.slice(1)).toEqual([
    'seam 1 straight',
    'seam 2 drifting over 1.20 mm',
    'seam 3 through 4 points',
  ]);
});
