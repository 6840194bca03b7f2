import type { EncodeOptions } from '../picture/encode.ts';
import type { ShotPlan } from '../plan/plan.ts';
import type { SubjectFrame } from '../scene/subject-frame.ts';

/** Blur of an open lens and the pixels' filter reach a little past the solids: share of the film's sides. */
const CLEARANCE = 0.004;

/** How frames may be cut from a shot. White and clear grounds can be carried on past a film that holds all of the band. */
export function framing(
  subject: SubjectFrame | undefined,
  { ground }: Pick<ShotPlan, 'ground'>,
): Pick<EncodeOptions, 'subject' | 'extend'> {
  const extend = (ground.kind === 'white' || ground.kind === 'clear') && !subject?.cut;
  if (!subject) return { extend };
  const { left, top, right, bottom, cut } = subject;
  return {
    extend,
    subject: {
      left: Math.max(0, left - CLEARANCE),
      top: Math.max(0, top - CLEARANCE),
      right: Math.min(1, right + CLEARANCE),
      bottom: Math.min(1, bottom + CLEARANCE),
      ...(cut ? { cut } : {}),
    },
  };
}

export function refusal(shot: string, frame: string): string {
  return (
    `no ${frame} of ${shot}: on its ground the frame would cut the band or leave it elsewhere than asked, and only white and clear ground can be ` +
    'carried on past the picture. Give the shot a larger frame or another ground.'
  );
}
