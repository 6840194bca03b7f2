import { ALT_ENGLISH, type AltWords, altText } from '../plan/alt-text.ts';
import { ALT_GERMAN } from '../plan/alt-text-de.ts';
import type { Plan, ShotName, Sku } from '../plan/plan.ts';
import type { Language } from '../trade/words.ts';
import { messagesOf } from '../words/locale.ts';
import { subjectsOf, titleOf } from './subject.ts';

/** Words that are written into a picture's files. */
export interface PictureWords {
  title: string;
  alt: string;
}

const ALT_WORDS: Record<Language, AltWords> = { en: ALT_ENGLISH, de: ALT_GERMAN };

/** The words of each picture of a plan; nothing has to be built for them. */
export function pictureWords(plan: Plan): (sku: Sku, view: ShotName) => PictureWords {
  const subjects = new Map(subjectsOf(plan).map((s) => [s.sku, s]));
  const words = ALT_WORDS[plan.language];
  return (sku, view) => {
    const subject = subjects.get(sku);
    if (!subject) throw new RangeError(`${sku} is not in the plan`);
    const bands = subject.bands.map((band) => ({ band, design: plan.shapes[band.shape] }));
    return {
      title: titleOf(subject, messagesOf(plan.language).wording),
      alt: altText(view, bands, words, plan.market),
    };
  };
}
