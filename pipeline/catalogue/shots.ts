import type { Config } from './config-schema.ts';
import type { Findings } from './findings.ts';
import type { ShotPlan } from './plan.ts';

/** Shots with the config's lights and frame filled in; names must be unique since files are named by them. */
export function planShots(config: Config, findings: Findings): ShotPlan[] {
  const seen = new Map<string, number>();
  const shots = config.shots.map((written, i): ShotPlan => {
    const shot = typeof written === 'string' ? { view: written } : written;
    const name = ('name' in shot && shot.name) || shot.view;
    const before = seen.get(name);
    if (before !== undefined)
      findings.add({
        code: 'duplicate-shot',
        path: ['shots', i],
        expected: 'a name of its own for every shot',
        received: `"${name}", as shots[${before}]`,
        advice: 'Give one of them a "name".',
      });
    seen.set(name, i);
    const frame = ('frame' in shot && shot.frame) || config.frame;
    const [widthPx, heightPx] = typeof frame === 'number' ? [frame, frame] : frame;
    const lights = ('lights' in shot && shot.lights) || config.lights;
    return { name, view: shot.view, lights, widthPx, heightPx };
  });
  checkPairs(config, shots, findings);
  checkWidths(config, shots, findings);
  return shots;
}

function checkPairs(config: Config, shots: readonly ShotPlan[], findings: Findings): void {
  const shown = shots.some((s) => s.view === 'pair');
  if (shown === config.pairs.length > 0) return;
  findings.add({
    code: shown ? 'pair-shot-without-pairs' : 'pairs-without-shot',
    severity: 'warning',
    path: shown ? ['shots'] : ['pairs'],
    expected: 'a pair shot and pairs together',
    received: shown ? 'a pair shot but no pairs' : 'pairs but no pair shot',
    advice: shown ? 'Add "pairs" or remove the shot.' : 'Add "pair" to the shots.',
  });
}

function checkWidths(config: Config, shots: readonly ShotPlan[], findings: Findings): void {
  const widest = Math.max(...shots.map((s) => s.widthPx));
  config.outputs.images.forEach((image, i) => {
    image.widths.forEach((width, k) => {
      if (width <= widest) return;
      findings.add({
        code: 'image-wider-than-frame',
        severity: 'warning',
        path: ['outputs', 'images', i, 'widths', k],
        expected: `at most ${widest} px, the widest frame`,
        received: `${width} px`,
        advice: 'Pictures are never enlarged: enlarge the frame or ask for less.',
      });
    });
  });
}
