import { altText } from '../catalogue/alt-text.ts';
import type { Plan, ShotName } from '../catalogue/plan.ts';
import { subjectsOf, titleOf } from './subject.ts';

/** What people read under a picture. */
export const VIEW_LABELS = {
  'three-quarter': 'Three-quarter view',
  front: 'Front view through the finger hole',
  'flat-lay': 'Flat lay from above',
  profile: 'Profile, edge on',
  macro: 'Close-up of the top',
  inside: 'Close-up into the bore',
  turntable: 'Turntable',
  pair: 'The pair together',
} as const satisfies Record<ShotName, string>;

/** Words that are written into a picture's files. */
export interface PictureWords {
  title: string;
  alt: string;
}

/** The words of each picture of a plan; nothing has to be built for them. */
export function pictureWords(plan: Plan): (sku: string, view: ShotName) => PictureWords {
  const subjects = new Map(subjectsOf(plan).map((s) => [s.sku, s]));
  return (sku, view) => {
    const subject = subjects.get(sku);
    if (!subject) throw new RangeError(`${sku} is not in the plan`);
    const bands = subject.bands.map((band) => ({ band, design: plan.shapes[band.shape] }));
    return { title: titleOf(subject), alt: altText(view, bands) };
  };
}
