import type { Config } from './config-schema.ts';
import type { Findings } from './findings.ts';
import { WHOLE } from './output-schema.ts';
import type { FramePlan } from './plan.ts';
import { adviseName } from './suggestion.ts';
import type { FieldPath } from './yaml-source.ts';

/**
 * Frames that need not be written out, by proportions that posts, stories and banners use: a banner leaves its left side to
 * text. A frame of the config with the same name takes its place.
 */
const READY_FRAMES: Config['outputs']['frames'] = {
  square: { aspect: [1, 1], fill: 0.82, align: 'centre' },
  upright: { aspect: [4, 5], fill: 0.82, align: 'centre' },
  tall: { aspect: [9, 16], fill: 0.82, align: 'centre' },
  banner: { aspect: [3, 1], fill: 0.8, align: 'right' },
};

/** An output once for each of its frames; those that the config does not have are reported. */
export function framedOutputs<O extends object>(
  output: O,
  named: readonly string[] = [WHOLE],
  frames: Config['outputs']['frames'],
  at: FieldPath,
  findings: Findings,
): (O & { frame?: FramePlan })[] {
  const all = new Map([...Object.entries(READY_FRAMES), ...Object.entries(frames)]);
  return [...new Set(named)].flatMap((name) => {
    if (name === WHOLE) return [output];
    const frame = all.get(name);
    if (frame) {
      const { align, ...rest } = frame;
      return [{ ...output, frame: { name, ...rest, ...(align === 'centre' ? {} : { align }) } }];
    }
    const known = [WHOLE, ...all.keys()];
    findings.add({
      code: 'unknown-frame',
      path: [...at, named.indexOf(name)],
      expected: `frames of outputs.frames: ${known.join(', ')}`,
      received: JSON.stringify(name),
      advice: adviseName(name, known),
    });
    return [];
  });
}
