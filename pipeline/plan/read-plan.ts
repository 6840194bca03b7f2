import path from 'node:path';
import { type Problem, ProblemError } from '../problem.ts';
import type { LimitSettings } from '../trade/bench-limits.ts';
import { MARKETS } from '../trade/market.ts';
import { partsOf, readAxes } from './axis.ts';
import type { LetterheadPlan } from './client-plan.ts';
import { planCompare } from './compare-plan.ts';
import { type Config, configSchema } from './config-schema.ts';
import { DesignCache } from './design-cache.ts';
import { type Expansion, expandGrid, patternOf } from './expansion.ts';
import { checkFilePattern } from './file-pattern.ts';
import { Findings } from './findings.ts';
import { type Layer, locateInSource } from './layers.ts';
import { planLetterhead } from './letterhead.ts';
import { metalTakes } from './metal-takes.ts';
import { readOrders } from './orders.ts';
import { expandPairs } from './pairing.ts';
import type { CreditPlan, Plan } from './plan.ts';
import { planPrice } from './price-plan.ts';
import { planProofs, proofImages } from './proofs.ts';
import { isMapping } from './raw-merge.ts';
import { type CatalogueFiles, DISK, readText } from './reading.ts';
import { schemaFindings } from './schema-findings.ts';
import { checkFeed, planShop } from './shop.ts';
import { planShots, studioNames } from './shots.ts';
import { checkPattern, SkuRegister } from './sku.ts';
import { localName } from './strict-object.ts';
import { StudioShelf } from './studio-shelf.ts';
import { nearestName } from './suggestion.ts';
import { planTakes } from './takes.ts';
import { readTemplateFile } from './template-file.ts';
import { readWaivers } from './waivers.ts';
import { logosOf, planImages, planProofWatermark, planWatermark } from './watermark.ts';
import { readYaml, type YamlSource } from './yaml-source.ts';

const AXES = ['size', 'width', 'metal', 'stone'];

async function readConfigText(file: string, files: CatalogueFiles): Promise<string> {
  try {
    return await readText(file, files);
  } catch (error) {
    const received = error instanceof Error ? error.message : String(error);
    const advice = `Check the path ${file} and save it as UTF-8 text.`;
    const expected = 'a config file that can be read';
    const place = { file, line: 1, column: 1 };
    throw new ProblemError([
      { code: 'unreadable-file', severity: 'error', path: '(file)', expected, received, advice, place },
    ]);
  }
}

/** Values that change the template show that an axis is meant, whatever its name resembles. */
function isFreeAxis(values: unknown): boolean {
  return Array.isArray(values) && values.every((v) => isMapping(v) && Object.hasOwn(v, 'set'));
}

/** Axes whose name is nearly a known one, which is a slip, or could not stand in a SKU pattern. */
function misnamedAxes(raw: unknown, findings: Findings): string[] {
  const grid = isMapping(raw) && isMapping(raw.grid) ? raw.grid : {};
  const missing = AXES.filter((name) => !Object.hasOwn(grid, name));
  return Object.keys(grid).filter((name) => {
    if (AXES.includes(name)) return false;
    const near = isFreeAxis(grid[name]) ? undefined : nearestName(name, missing);
    if (near === undefined && localName.safeParse(name).success) return false;
    findings.add({
      code: near ? 'unknown-axis' : 'bad-name',
      path: ['grid', name],
      key: true,
      expected: `${AXES.join(', ')}, or an axis named in small letters, digits and hyphens`,
      received: JSON.stringify(name),
      advice: near ? `Did you mean "${near}"?` : 'Rename it, for example "finish".',
    });
    return true;
  });
}

/** `raw` without the field that `path` names, as far as it exists. */
function without(raw: unknown, [first, ...rest]: readonly (string | number)[]): unknown {
  if (Array.isArray(raw))
    return raw.map((item, i) => (i === first && rest.length > 0 ? without(item, rest) : item));
  if (!isMapping(raw)) return raw;
  const { [String(first)]: inner, ...others } = raw;
  return rest.length === 0 ? others : { ...others, [String(first)]: without(inner, rest) };
}

/**
 * Parses the config. Unknown keys are reported and then left aside, so that the rest of the file is still
 * checked in the same run.
 */
function parseConfig(source: YamlSource, findings: Findings): Config | undefined {
  let raw: unknown = source.raw ?? {};
  for (const name of misnamedAxes(raw, findings)) raw = without(raw, ['grid', name]);
  const first = configSchema.safeParse(raw);
  if (first.success) return first.data;
  const found = schemaFindings(first.error, raw);
  for (const finding of found) findings.add(finding);
  if (found.some((f) => f.code !== 'unknown-key')) return undefined;
  const known = found.reduce<unknown>((rest, f) => without(rest, f.path), raw);
  return configSchema.safeParse(known).data;
}

/** Axis names in the order of the file. */
function axisOrder(source: YamlSource): string[] {
  const raw = source.raw;
  return isMapping(raw) && isMapping(raw.grid) ? Object.keys(raw.grid) : [];
}

function layersOf(template: YamlSource, config: YamlSource): Layer[] {
  const overrides = isMapping(config.raw) ? config.raw.overrides : undefined;
  const base: Layer = { source: template, at: [], raw: template.raw };
  return isMapping(overrides) ? [base, { source: config, at: ['overrides'], raw: overrides }] : [base];
}

function planCredit({ credit }: Config): CreditPlan {
  const { source, ...rest } = credit ?? {};
  return { ...rest, source: source === 'algorithmic-media' ? 'algorithmicMedia' : 'digitalCreation' };
}

function casterPlan(written: Config['outputs']['caster']): Pick<Plan, 'caster'> {
  if (written === false) return {};
  const none = { shrinkage: 0, polish: 0, sprue: 0, publish: false };
  const { shrinkage, polish, sprue, publish } = written === true ? none : written;
  return { caster: { shrinkage, polishMm: polish, sprue, ...(publish ? { publish } : {}) } };
}

function modelFormats({ glb, usdz }: Config['outputs']): Pick<Plan, 'glbCompression' | 'glbEach' | 'usdz'> {
  return {
    ...(typeof glb === 'object' && glb.compression !== 'meshopt' ? { glbCompression: glb.compression } : {}),
    ...(typeof glb === 'object' && glb.each ? { glbEach: true } : {}),
    ...(usdz ? { usdz: true } : {}),
  };
}

function stoneWeights({ 'stone-weights': written }: Config): Pick<Plan, 'stoneWeights'> {
  if (written.length === 0) return {};
  return {
    stoneWeights: written.map(({ stone, cut, size, carats }) => ({
      stone,
      cut,
      ...(typeof size === 'number' ? { diameterMm: size } : { lengthMm: size[0], diameterMm: size[1] }),
      carats,
    })),
  };
}

function clientFiles({ orders }: Config, folder: string, { logo }: LetterheadPlan): string[] {
  return [...(orders ? [path.resolve(folder, orders)] : []), ...(logo ? [logo] : [])];
}

/**
 * Reads a config, its template and logo, and expands the grid into a plan.
 *
 * @param configFile path of a YAML file
 * @throws ProblemError with every problem of the config and template, each at its line and column
 */
export async function readPlan(
  configFile: string,
  files: CatalogueFiles = DISK,
): Promise<{ plan: Plan; warnings: Problem[] }> {
  const file = path.resolve(configFile);
  const source = readYaml(await readConfigText(file, files), file);
  const findings = new Findings(locateInSource(source));
  const config = parseConfig(source, findings);
  const template = await readTemplateFile(source, files, findings);
  const designs = template && new DesignCache(layersOf(template, source), source, findings);
  const base = designs?.design([]);
  const folder = path.dirname(file);
  const watermark = config && (await planWatermark(config, folder, files, findings));
  const images = config ? await planImages(config, folder, files, findings) : [];
  if (config) images.push(...proofImages(config, await planProofWatermark(config, folder, files, findings)));
  const letterhead = config && (await planLetterhead(config, folder, files, findings));
  const studios = config && (await StudioShelf.open(studioNames(config), source, files, findings));
  if (!config || !letterhead || !studios || !template || !designs || !base) {
    findings.throwIfAny();
    throw new Error('a config without problems has a template');
  }

  const parts = partsOf(base);
  const axes = readAxes(config, axisOrder(source), parts, findings);
  const pattern = patternOf(config, axes);
  checkPattern(pattern, axes, findings);
  const skus = new SkuRegister(findings);
  const waivers = readWaivers(config, axes, findings);
  const expansion: Expansion = { config, axes, designs, findings, skus, pattern, waivers, shapes: {} };
  // a wrong pattern or slug makes many SKUs wrong: report the cause and not its thousand effects
  const causes = findings.errors.some((p) => p.path === 'sku' || p.code === 'axis-values-alike');
  const expanded = causes ? [] : expandGrid(expansion);
  const pairs = expandPairs(expanded, parts.lanes, expansion);
  const designed = Object.values(expansion.shapes);
  const { shots, wanted } = planShots(config, studios, axes, designed, findings);
  const shop = planShop(config, shots, images, findings);
  const compared = planCompare(config, shots, findings);
  const variants = expanded.map((x) => x.variant);
  const { files: filePattern } = config.outputs;
  if (filePattern !== undefined)
    checkFilePattern(
      filePattern,
      [...variants, ...pairs].map((v) => v.sku),
      shots,
      images,
      findings,
    );
  const axisNames = axes.map(({ name, values }) => ({
    name,
    values: values.map(({ label, slug }) => ({ label, slug })),
  }));
  const { language } = config;
  const range = { axes: axisNames, shapes: expansion.shapes, variants, pairs, language };
  const price = planPrice(config, [...variants, ...pairs.flatMap((p) => [p.left, p.right])], findings);
  const sound = findings.errors.length === 0;
  const orders =
    sound && config.orders ? await readOrders(config.orders, folder, range, files, findings) : [];
  const proofs = planProofs(config, letterhead, orders, findings);
  findings.throwIfAny();

  const cells = new Map(expanded.map((x) => [x.variant, x.cell]));
  const { swatches } = config.outputs;
  const metals = typeof swatches === 'object' && swatches.metals ? metalTakes(variants, shots[0]) : undefined;
  const plan: Plan = {
    catalogue: config.catalogue,
    title: config.title,
    workshop: letterhead.name,
    letterhead,
    language,
    ...(config.market ? { market: MARKETS.get(config.market) } : {}),
    ...(price ? { price } : {}),
    ...stoneWeights(config),
    ...(proofs ? { proofs } : {}),
    configFile: file,
    files: [
      file,
      template.file,
      ...studios.read,
      ...logosOf({ watermark, images }),
      ...clientFiles(config, folder, letterhead),
    ],
    axes: axisNames,
    shapes: { ...expansion.shapes, ...metals?.shapes },
    variants,
    pairs,
    shots,
    takes: [
      ...planTakes(shots, variants, pairs, (shot, variant) => {
        const cell = cells.get(variant);
        return !cell || wanted(shot, cell);
      }),
      ...(metals?.takes ?? []),
    ],
    quality: {
      noise: config.quality.noise,
      passCap: config.quality.passes,
      seed: config.quality.seed,
    },
    ...(watermark ? { watermark } : {}),
    credit: planCredit(config),
    ...(shop ? { shop } : {}),
    images,
    ...(filePattern === undefined ? {} : { filePattern }),
    glb: config.outputs.glb !== false,
    ...modelFormats(config.outputs),
    ...compared,
    sheets: config.outputs.sheets !== false,
    ...(typeof config.outputs.sheets === 'object' && config.outputs.sheets.publish
      ? { publishSheets: true }
      : {}),
    ...casterPlan(config.outputs.caster),
    limits: config.bench.limits as LimitSettings,
    swatches: config.outputs.swatches !== false,
    ...(config.page.checks ? { pageChecks: true as const } : {}),
  };
  checkFeed(plan, findings);
  findings.throwIfAny();
  return { plan, warnings: findings.warnings };
}
