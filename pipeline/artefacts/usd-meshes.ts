import type { ShapeKey, Sku } from '../plan/plan.ts';
import type { ContentKey } from '../store/content-key.ts';
import { artefactKey } from '../store/content-key.ts';
import { bandsOfPlan } from './bands.ts';
import type { Kind } from './kind.ts';
import { geometryKeys } from './solid.ts';

/** A shape's meshes for USDZ, without colours. */
export interface UsdWork {
  shape: ShapeKey;
  key: ContentKey;
  /** bands of the shape */
  skus: Sku[];
}

export const USD_MESHES: Kind<UsdWork> = {
  name: 'usdz',
  code: ['model/usd-geometry.ts'],
  shared: true,
  plan: (planning) => {
    const { plan, versions } = planning;
    if (!plan.usdz) return [];
    const solids = geometryKeys(planning);
    const wearers = new Map<ShapeKey, Sku[]>();
    for (const { shape, sku } of bandsOfPlan(plan)) wearers.set(shape, [...(wearers.get(shape) ?? []), sku]);
    return [...wearers].map(([shape, skus]) => ({
      shape,
      key: artefactKey({ layer: 'model', engine: versions.usdz, solid: solids.get(shape), usd: 1 }),
      skus: [...new Set(skus)],
    }));
  },
  skus: ({ skus }) => skus,
  uses: ({ key }) => [`model/${key}`],
  make: async ({ shape: name, key }, { plan, bench, costs, store, report }) => {
    const shape = await bench.get(name);
    if (!shape) return;
    const { encodeUsdGeometry, usdGeometry } = await import('../model/usd-geometry.ts');
    const bytes = await costs.timed('usdz', async () => encodeUsdGeometry(await usdGeometry(shape)));
    await store.put('model', key, bytes);
    report({ event: 'model', model: `${plan.title}, meshes for USDZ`, bytes: bytes.length });
  },
  costs: [{ name: 'usdz', label: 'meshes for USDZ', guess: { seconds: 1.5, bytes: 1.2e6 }, copies: 1 }],
};
