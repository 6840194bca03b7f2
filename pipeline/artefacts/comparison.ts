import { variantName } from '../model/names.ts';
import type { Still } from '../page/reader/still.ts';
import type { Sku } from '../plan/plan.ts';
import { ProblemError } from '../problem.ts';
import type { CatalogueComparison } from '../publish/catalogue.ts';
import { browserScript } from '../store/browser-script.ts';
import type { ContentKey } from '../store/content-key.ts';
import { artefactKey } from '../store/content-key.ts';
import { messagesOf } from '../words/locale.ts';
import { compareStill, decodeComparison, encodeComparison, stillOrder } from './comparison-drawing.ts';
import { FILM, type TakeWork, takeName } from './film.ts';
import { takeScene } from './film-scene.ts';
import { loadFilm, loadSky } from './film-store.ts';
import type { Kind, Making, Planning, Source } from './kind.ts';
import { MODEL, type ModelWork, viewerModel } from './model.ts';
import { subjectsOf, titleOf } from './subject.ts';

/** Some colourways of a take and of the shape's model, drawn in one go. */
export interface ComparisonWork {
  take: TakeWork;
  model: ModelWork;
  each: {
    /** content key of its figures and picture */
    key: ContentKey;
    /** index into the take's colourways */
    colourway: number;
    skus: Sku[];
    /** the colourway's name in the model's file */
    variant: string;
  }[];
}

/** Colourways drawn in one go; their pixels pass through the browser's pipe together. */
const TOGETHER = 4;

/** Traced pictures beside the GLB of the same band. */
export const COMPARISON: Kind<ComparisonWork> = {
  name: 'comparison',
  code: ['artefacts/comparison-drawing.ts', 'artefacts/film-scene.ts', 'page/reader/still.ts'],
  plan: planComparisons,
  skus: ({ each }) => each.flatMap(({ skus }) => skus),
  take: ({ take }) => take.record,
  uses: ({ each }) => each.map(({ key }) => `picture/${key}` as const),
  make: makeComparisons,
  costs: [
    {
      name: 'comparison',
      label: 'comparisons',
      guess: { seconds: 4, bytes: 0.03e6 },
      copies: 2,
      count: ({ each }) => each.length,
    },
  ],
  publish: async (source) => ({ comparisons: await catalogueComparisons(source) }),
};

function planComparisons({ plan, versions, pieces }: Planning): ComparisonWork[] {
  const { compare = [] } = plan;
  return pieces(FILM)
    .filter(({ take }) => !take.metals && compare.includes(take.shot.name))
    .flatMap((take): ComparisonWork[] => {
      const model = pieces(MODEL).find((m) => m.shape === take.take.shapes[0]);
      if (!model) return [];
      const all = take.take.colourways.flatMap(({ pictures }, colourway): ComparisonWork['each'] => {
        const skus = pictures.map((p) => p.sku);
        const name = model.colourways.find((c) => c.variants.some((v) => v.sku === skus[0]))?.name;
        if (name === undefined) return [];
        const variant = variantName(name);
        const inputs = { film: take.films[colourway], model: model.key, variant };
        const key = artefactKey({ layer: 'picture', engine: versions.comparison, comparison: 1, ...inputs });
        return [{ key, colourway, skus, variant }];
      });
      const groups: ComparisonWork[] = [];
      for (let i = 0; i < all.length; i += TOGETHER)
        groups.push({ take, model, each: all.slice(i, i + TOGETHER) });
      return groups;
    });
}

/** What cannot be drawn fails its bands' comparison and nothing else. */
async function makeComparisons(work: ComparisonWork, making: Making): Promise<void> {
  const { signal, report } = making;
  try {
    await compare(work, making);
  } catch (error) {
    if (signal.aborted || error instanceof ProblemError) throw error;
    const reason = error instanceof Error ? error.message : String(error);
    const name = takeName(work.take);
    report({ event: 'warning', message: `no comparison of ${name} with its model: ${reason}` });
    for (const { skus } of work.each) making.fail(skus, `no comparison with its model: ${reason}`, true);
  }
}

async function compare({ take, model, each }: ComparisonWork, making: Making): Promise<void> {
  const start = performance.now();
  const { store, costs, report } = making;
  const { shot } = take.take;
  const shape = await making.bench.get(take.take.shapes[0]);
  const tracer = await making.tracer();
  if (!shape || !tracer.draw || !(await store.has('model', model.key))) return;
  const scene = takeScene(shot, take.looks, [shape], await loadSky(take.take));
  const glb = await viewerModel(store, model);
  const order = stillOrder(
    scene,
    shot,
    shape,
    glb,
    each.map(({ variant }) => variant),
  );
  const still = (await tracer.draw(await browserScript('page/reader/still.ts'), 'drawStill', order)) as Still;
  let bytes = 0;
  for (const [i, { key, colourway, skus }] of each.entries()) {
    const traced = await loadFilm(store, take.films[colourway]);
    if (!traced) continue;
    const compared = await compareStill(traced, still, i, order);
    await store.put('picture', key, encodeComparison(compared));
    bytes += compared.data.length;
    const { deltaE } = compared.comparison;
    report({ event: 'comparison', sku: skus[0], shot: shot.name, deltaE });
  }
  costs.recordPieces('comparison', (performance.now() - start) / 1000, bytes, each.length);
}

/** Comparisons that the store holds, ready to publish. */
async function catalogueComparisons({ plan, store, pieces }: Source): Promise<CatalogueComparison[]> {
  const subjects = new Map(subjectsOf(plan).map((s) => [s.sku, s]));
  const found: CatalogueComparison[] = [];
  for (const { take, each } of pieces(COMPARISON))
    for (const { key, skus } of each) {
      const bytes = await store.get('picture', key);
      if (!bytes) continue;
      const { comparison, ...picture } = decodeComparison(bytes);
      const subject = subjects.get(skus[0]);
      const title = subject ? titleOf(subject, messagesOf(plan.language).wording) : skus[0];
      const shot = take.take.shot.name;
      const { traced, model, deltaE, pixels } = comparison;
      const file = `comparison/${skus[0]}-${shot}.webp`;
      const colours: Pick<CatalogueComparison, 'traced' | 'model'> = {
        traced: [...traced],
        model: [...model],
      };
      found.push({ shot, skus, title, file, ...picture, ...colours, deltaE, pixels });
    }
  return found;
}
