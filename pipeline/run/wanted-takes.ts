/** Which of the takes that a survey has found are worked on, and in which order. */
import { skusOfTake, takeName } from '../artefacts/film.ts';
import { quarantineWording } from '../artefacts/quarantine.ts';
import type { Job } from './job.ts';
import type { Survey, TakeStatus } from './survey.ts';

/** Takes that serve a wanted SKU: each shape's first, so that every design is soon seen, then shape by shape. */
export function wantedTakes(job: Job, survey: Survey): TakeStatus[] {
  const order = Object.keys(job.place.work.plan.shapes);
  const takes = survey.takes
    .filter(({ work }) => skusOfTake(work).some((sku) => job.wanted(sku)))
    .sort((a, b) => order.indexOf(a.work.take.shapes[0]) - order.indexOf(b.work.take.shapes[0]));
  const seen = new Set<string>();
  const first = takes.filter((t) => !seen.has(t.work.take.shapes[0]) && seen.add(t.work.take.shapes[0]));
  return [...first, ...takes.filter((t) => !first.includes(t))];
}

/** Those not in quarantine; what is in it fails again without being tried. */
export function outOfQuarantine(job: Job, takes: readonly TakeStatus[]): TakeStatus[] {
  for (const { work, quarantine } of takes) {
    if (!quarantine) continue;
    const reason = quarantineWording(quarantine);
    const skus = skusOfTake(work);
    job.options.report({
      event: 'take-quarantined',
      take: work.take.id,
      label: takeName(work),
      skus,
      reason,
    });
    job.fail(skus, reason, true);
  }
  return takes.filter((t) => !t.quarantine);
}

/** The takes to be worked on here: all of them, unless tracing is left to other machines. */
export function madeHere(job: Job, takes: TakeStatus[]): TakeStatus[] {
  const { elsewhere } = job.options;
  if (!elsewhere) return takes;
  for (const { work } of takes.filter((t) => t.trace)) job.fail(skusOfTake(work), elsewhere.lacking);
  return takes.filter((t) => !t.trace);
}
