import path from 'node:path';
import type { Problem } from '../problem.ts';
import { MARKETS } from '../trade/market.ts';
import type { BandSource } from './band-source.ts';
import { planCompare } from './compare-plan.ts';
import { readConfigText } from './config-file.ts';
import type { Config } from './config-schema.ts';
import { checkFilePattern } from './file-pattern.ts';
import { Findings } from './findings.ts';
import { locateInSource } from './layers.ts';
import { metalTakes } from './metal-takes.ts';
import { planMovies } from './movie-plan.ts';
import { readOrders } from './orders.ts';
import { planBench, planCredit, planModels } from './outputs-plan.ts';
import type { Plan, PlanCatalogue, PlanClients, ShotPlan, TakePlan } from './plan.ts';
import { type ExpandedGrid, planGrid } from './plan-grid.ts';
import { filesOf, type PlanInputs, readInputs } from './plan-inputs.ts';
import { planPrice } from './price-plan.ts';
import { planProofs } from './proofs.ts';
import { planNames } from './reader-names.ts';
import { type CatalogueFiles, DISK } from './reading.ts';
import { checkFeed, planShop } from './shop.ts';
import { type PlannedShots, planShots } from './shots.ts';
import { planTakes } from './takes.ts';
import { bandsOfPair } from './variant.ts';
import { readYaml } from './yaml-source.ts';

/** A plan, and where its bands are written. */
export interface ReadPlan {
  plan: Plan;
  warnings: Problem[];
  /** of every band by SKU, partners too; no part of the plan, since it decides nothing */
  sources: ReadonlyMap<string, BandSource>;
}

/**
 * Reads a config, its template and logo, and expands the grid into a plan.
 *
 * @param configFile path of a YAML file
 * @throws ProblemError with every problem of the config and template, each at its line and column
 */
export async function readPlan(configFile: string, files: CatalogueFiles = DISK): Promise<ReadPlan> {
  const file = path.resolve(configFile);
  const source = readYaml(await readConfigText(file, files), file);
  const findings = new Findings(locateInSource(source));
  const inputs = await readInputs(source, files, findings);
  const { config, images } = inputs;
  const grid = planGrid(inputs, findings);
  const planned = planShots(config, inputs.studios, grid.written, Object.values(grid.shapes), findings);
  const { shots } = planned;
  const shop = planShop(config, shots, images, findings);
  const compared = planCompare(config, shots, findings);
  const movies = planMovies(config, shots, findings);
  checkFileNames(inputs, grid, shots, findings);
  const named = planNames(config, Object.values(grid.shapes), findings);
  const clients = await planClients(inputs, grid, files, findings);
  findings.throwIfAny();

  const { watermark } = inputs;
  const { quality, outputs } = config;
  const { shapes, takes } = allTakes(config, grid, planned);
  const plan: Plan = {
    ...catalogueOf(inputs),
    ...named,
    axes: grid.axes,
    shapes,
    variants: grid.variants,
    pairs: grid.pairs,
    shots,
    takes,
    quality: {
      noise: quality.noise,
      passCap: quality.passes,
      seed: quality.seed,
      filter: quality.filter,
      engine: quality.engine,
    },
    ...(watermark ? { watermark } : {}),
    credit: planCredit(config),
    images,
    ...(outputs.files === undefined ? {} : { filePattern: outputs.files }),
    swatches: outputs.swatches !== false,
    ...movies,
    ...planModels(config),
    ...compared,
    ...clients,
    ...(shop ? { shop } : {}),
    ...planBench(config),
  };
  checkFeed(plan, findings);
  findings.throwIfAny();
  return { plan, warnings: findings.warnings, sources: grid.sources };
}

function catalogueOf(inputs: PlanInputs): PlanCatalogue {
  const { catalogue, title, language, market, page } = inputs.config;
  return {
    catalogue,
    title,
    workshop: inputs.letterhead.name,
    language,
    ...(market ? { market: MARKETS.get(market) } : {}),
    configFile: inputs.source.file,
    files: filesOf(inputs),
    ...(page.checks ? { pageChecks: true as const } : {}),
  };
}

function checkFileNames(
  { config, images }: PlanInputs,
  { variants, pairs }: ExpandedGrid,
  shots: readonly ShotPlan[],
  findings: Findings,
): void {
  const { files } = config.outputs;
  if (files === undefined) return;
  const skus = [...variants, ...pairs].map((v) => v.sku);
  checkFilePattern(files, skus, shots, images, findings);
}

/** Prices, and the orders whose proofs are wanted: these are read only if all else is sound. */
async function planClients(
  { config, folder, letterhead }: PlanInputs,
  grid: ExpandedGrid,
  files: CatalogueFiles,
  findings: Findings,
): Promise<Omit<PlanClients, 'shop'>> {
  const { variants, pairs } = grid;
  const price = planPrice(config, [...variants, ...pairs.flatMap(bandsOfPair)], findings);
  const range = { ...grid, language: config.language };
  const sound = findings.errors.length === 0;
  const orders =
    sound && config.orders ? await readOrders(config.orders, folder, range, files, findings) : [];
  const proofs = planProofs(config, letterhead, orders, findings);
  return { letterhead, ...(price ? { price } : {}), ...(proofs ? { proofs } : {}) };
}

/** The takes of all items, and close-ups of metals with shapes of their own if they are wanted. */
function allTakes(
  { outputs: { swatches } }: Config,
  { shapes, variants, pairs, cells }: ExpandedGrid,
  { shots, wanted }: PlannedShots,
): { shapes: Plan['shapes']; takes: TakePlan[] } {
  const metals = typeof swatches === 'object' && swatches.metals ? metalTakes(variants, shots[0]) : undefined;
  const takes = planTakes(shots, variants, pairs, (shot, variant) => {
    const cell = cells.get(variant);
    return !cell || wanted(shot, cell);
  });
  return { shapes: { ...shapes, ...metals?.shapes }, takes: [...takes, ...(metals?.takes ?? [])] };
}
