import type { Plan, ShotPlan } from '../plan/plan.ts';

/** Names under which a shot can be asked for: its own, and all frames of a turntable by theirs together. */
const namesOf = ({ name, view, turn }: ShotPlan): string[] => (turn ? [name, view] : [name]);

/** Names of a plan's shots that can be asked for, each once. */
export function shotNames({ shots }: Pick<Plan, 'shots'>): string[] {
  return [...new Set(shots.map((shot) => namesOf(shot).at(-1) ?? shot.name))];
}

/**
 * The same bands in some of the shots alone, with neither models nor papers. It has a folder of its own, so that it never
 * replaces a whole catalogue; the store has what it makes under the same keys, so that nothing is traced twice.
 * @returns undefined if none of the bands is taken in any of these shots
 */
export function withShots(plan: Plan, names: readonly string[]): Plan | undefined {
  const chosen = (shot: ShotPlan) => namesOf(shot).some((name) => names.includes(name));
  const takes = plan.takes.filter(({ shot, metals }) => !metals && chosen(shot));
  const seen = new Set(takes.flatMap((t) => t.colourways.flatMap((c) => c.pictures.map((p) => p.sku))));
  if (seen.size === 0) return undefined;
  const shots = plan.shots.filter(chosen);
  return {
    ...plan,
    catalogue: `${plan.catalogue}-${names.join('-')}`,
    title: `${plan.title} (${names.join(', ')})`,
    variants: plan.variants.filter(({ sku }) => seen.has(sku)),
    pairs: plan.pairs.filter(({ sku }) => seen.has(sku)),
    shots,
    takes,
    swatches: false,
    movies: shots.some(({ turn }) => turn) ? plan.movies : undefined,
    glb: false,
    glbEach: undefined,
    usdz: undefined,
    compare: undefined,
    sheets: false,
    caster: undefined,
    proofs: undefined,
    shop: undefined,
  };
}
