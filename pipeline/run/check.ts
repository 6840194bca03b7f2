import { bandFacts, cautionsOf } from '../facts/band-facts.ts';
import type { BandFacts } from '../facts/catalogue-schema.ts';
import { type Resizing, resizings } from '../facts/resizing.ts';
import { type SolidFacts, solidFacts } from '../facts/solid-facts.ts';
import { type BandSource, placedProblem } from '../plan/band-source.ts';
import type { Plan, ShapeKey, Sku, Variant } from '../plan/plan.ts';
import { bandsOfPair } from '../plan/variant.ts';
import { isRefused, type Problem, ProblemError, type Result } from '../problem.ts';
import { buildShape } from '../setting/build-shape.ts';
import { generalCautions } from '../words/locale.ts';

export interface CheckedVariant {
  sku: Sku;
  /** key of `Plan.shapes` */
  shape: ShapeKey;
  facts?: BandFacts;
  /** why the shape cannot be built */
  problems: readonly Problem[];
}

export interface CheckResult {
  variants: CheckedVariant[];
  cautions: string[];
  /** designs built in several sizes */
  resizing: Resizing[];
  /** rules waived for some variant that no built variant needed waived */
  idleWaivers: string[];
}

/**
 * Builds each wanted shape once and works out the facts of every variant. Partners' bands of pairs are included.
 * @param sources by which problems are told with their place in a file
 */
export async function checkPlan(
  plan: Plan,
  wanted: (sku: Sku) => boolean,
  sources: ReadonlyMap<string, BandSource> = new Map(),
): Promise<CheckResult> {
  const bands = new Map<Sku, Variant>();
  for (const v of [...plan.variants, ...plan.pairs.flatMap(bandsOfPair)]) {
    if (wanted(v.sku)) bands.set(v.sku, v);
  }
  const built = new Map<ShapeKey, Result<SolidFacts>>();
  const variants: CheckedVariant[] = [];
  for (const band of bands.values()) {
    const solid = built.get(band.shape) ?? (await build(plan, band.shape));
    built.set(band.shape, solid);
    if (isRefused(solid)) {
      const problems = solid.problems.map((p) => placedProblem(p, sources.get(band.sku)));
      variants.push({ sku: band.sku, shape: band.shape, problems });
    } else
      variants.push({
        sku: band.sku,
        shape: band.shape,
        facts: bandFacts(band, solid, plan, undefined),
        problems: [],
      });
  }
  const solids = new Map([...built].flatMap(([key, solid]) => (isRefused(solid) ? [] : [[key, solid]])));
  const checks = variants.flatMap((v) => v.facts?.checks ?? []);
  const waived = new Set([...bands.values()].flatMap((v) => Object.keys(v.waivers ?? {})));
  return {
    variants,
    cautions: [
      ...cautionsOf([...bands.values()], plan.language, plan.market),
      ...generalCautions(plan.language, plan.market),
    ],
    resizing: resizings(plan, [...bands.values()], solids),
    idleWaivers: [...waived].filter((rule) => !checks.some((c) => c.rule === rule && c.waived !== undefined)),
  };
}

async function build(plan: Plan, shape: ShapeKey): Promise<Result<SolidFacts>> {
  try {
    return solidFacts(await buildShape(plan.shapes[shape], undefined, plan.limits));
  } catch (error) {
    if (error instanceof ProblemError) return { problems: [...error.problems] };
    throw error;
  }
}
