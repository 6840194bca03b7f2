import type { Config } from './config-schema.ts';
import type { Findings } from './findings.ts';
import type { PlanModels, ShotPlan } from './plan.ts';

/** Shots that are compared with the model: of one band, and still. */
export function planCompare(
  { outputs }: Config,
  shots: readonly ShotPlan[],
  findings: Findings,
): Pick<PlanModels, 'compare'> {
  const { compare } = outputs;
  if (!compare) return {};
  if (outputs.glb === false)
    findings.add({
      code: 'compare-without-glb',
      path: ['outputs', 'compare'],
      expected: 'outputs.glb, whose models are compared',
      received: 'compare without it',
      advice: 'Set "glb: true", or leave compare out.',
    });
  const able = shots.filter((s) => s.view !== 'pair' && !s.turn).map((s) => s.name);
  compare.forEach((name, i) => {
    if (able.includes(name)) return;
    findings.add({
      code: 'unknown-shot',
      path: ['outputs', 'compare', i],
      expected: able.length > 0 ? `one of ${able.join(', ')}` : 'a shot of one band that does not turn',
      received: JSON.stringify(name),
      advice: 'Pairs and turntables are not compared; name another shot.',
    });
  });
  return { compare: [...new Set(compare)] };
}
