import type { Config } from './config-schema.ts';
import type { Findings } from './findings.ts';
import { WHOLE } from './output-schema.ts';
import type { ImageOutput } from './plan.ts';
import { adviseName } from './suggestion.ts';
import type { FieldPath } from './yaml-source.ts';

/** An output once for each of its frames; those that the config does not have are reported. */
export function framedOutputs(
  output: ImageOutput,
  named: readonly string[] = [WHOLE],
  frames: Config['outputs']['frames'],
  at: FieldPath,
  findings: Findings,
): ImageOutput[] {
  return [...new Set(named)].flatMap((name) => {
    if (name === WHOLE) return [output];
    const frame = Object.hasOwn(frames, name) ? frames[name] : undefined;
    if (frame) {
      const { align, ...rest } = frame;
      return [{ ...output, frame: { name, ...rest, ...(align === 'centre' ? {} : { align }) } }];
    }
    const known = [WHOLE, ...Object.keys(frames)];
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
