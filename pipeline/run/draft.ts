import { FEED, type ImageOutput, type Plan, type ShotPlan } from '../plan/plan.ts';
import { messagesOf } from '../words/locale.ts';

/** Longer side of a draft's frames. */
const DRAFT_SIDE = 240;
const DRAFT_NOISE = 0.1;
const DRAFT_PASSES = 48;

/**
 * The same catalogue small and coarse, to look at within seconds. It has a folder of its own, so a draft never
 * replaces finished pictures.
 */
export function draftPlan(plan: Plan): Plan {
  const small = new Map(plan.shots.map((s) => [s.name, draftShot(s)]));
  return {
    ...plan,
    draft: true,
    catalogue: `${plan.catalogue}-draft`,
    title: messagesOf(plan.language).draftOf(plan.title),
    shots: [...small.values()],
    takes: plan.takes.map((t) => ({ ...t, shot: draftShot(t.shot) })),
    quality: {
      ...plan.quality,
      noise: Math.max(plan.quality.noise, DRAFT_NOISE),
      passCap: Math.min(plan.quality.passCap, DRAFT_PASSES),
    },
    images: draftImages(plan),
    ...(plan.proofs ? { proofs: { ...plan.proofs, draft: true } } : {}),
    // a draft is not for the shop
    shop: undefined,
  };
}

/** One width each; outputs that would then write the same file are one. */
function draftImages({ images }: Plan): ImageOutput[] {
  const small = new Map<string, ImageOutput>();
  for (const o of images) {
    if (o.name === FEED) continue;
    const widths = [Math.min(DRAFT_SIDE, Math.max(...o.widths))];
    const file = `${o.name ?? ''} ${o.frame?.name ?? ''} ${o.format} ${widths[0]}`;
    if (!small.has(file)) small.set(file, { ...o, widths });
  }
  return [...small.values()];
}

function draftShot(shot: ShotPlan): ShotPlan {
  const scale = Math.min(1, DRAFT_SIDE / Math.max(shot.widthPx, shot.heightPx));
  return { ...shot, widthPx: Math.round(shot.widthPx * scale), heightPx: Math.round(shot.heightPx * scale) };
}
