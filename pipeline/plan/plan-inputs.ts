import path from 'node:path';
import type { LetterheadPlan } from './client-plan.ts';
import { parseConfig } from './config-file.ts';
import type { Config } from './config-schema.ts';
import { DesignCache } from './design-cache.ts';
import { withDrawings } from './drawing-files.ts';
import type { Findings } from './findings.ts';
import type { TemplateLayer } from './layers.ts';
import { planLetterhead } from './letterhead.ts';
import type { ImageOutput, WatermarkPlan } from './plan.ts';
import { proofImages } from './proofs.ts';
import { isMapping } from './raw-merge.ts';
import type { CatalogueFiles } from './reading.ts';
import { studioNames } from './shots.ts';
import { StudioShelf } from './studio-shelf.ts';
import { readTemplateFile } from './template-file.ts';
import type { Template } from './template-schema.ts';
import { logosOf, planImages, planProofWatermark, planWatermark } from './watermark.ts';
import type { YamlSource } from './yaml-source.ts';

/** A config and all that it names, each read and checked by itself. */
export interface PlanInputs {
  config: Config;
  source: YamlSource;
  /** the config's own, from which its paths start */
  folder: string;
  template: YamlSource;
  /** absolute paths of the SVG files that both name */
  drawings: string[];
  designs: DesignCache;
  /** the template with the config's overrides, before any axis changes it */
  base: Template;
  studios: StudioShelf;
  letterhead: LetterheadPlan;
  watermark?: WatermarkPlan;
  images: ImageOutput[];
}

/** Inner circumference at which a template is read before any size is known, mm. */
const USUAL_MM = 54;

/** @throws ProblemError with what was found so far if the config or its template cannot be used at all */
export async function readInputs(
  written: YamlSource,
  files: CatalogueFiles,
  findings: Findings,
): Promise<PlanInputs> {
  const { source, read } = await withDrawings(written, files, findings);
  const config = parseConfig(source, findings);
  const plain = await readTemplateFile(source, files, findings);
  const drawn = plain && (await withDrawings(plain, files, findings));
  const template = drawn?.source;
  const designs = template && new DesignCache(layersOf(template, source), source, findings);
  // formulas of the size are worked out anew for every size of the grid
  const base = designs?.design([], { size: USUAL_MM });
  const folder = path.dirname(source.file);
  const watermark = config && (await planWatermark(config, folder, files, findings));
  const images = config ? await planImages(config, folder, files, findings) : [];
  if (config) images.push(...proofImages(config, await planProofWatermark(config, folder, files, findings)));
  const letterhead = config && (await planLetterhead(config, folder, files, findings));
  const studios = config && (await StudioShelf.open(studioNames(config), source, files, findings));
  if (!config || !letterhead || !studios || !template || !designs || !base) {
    findings.throwIfAny();
    throw new Error('a config without problems has a template');
  }
  const drawings = [...read, ...(drawn?.read ?? [])];
  return {
    config,
    source,
    folder,
    template,
    drawings,
    designs,
    base,
    studios,
    letterhead,
    watermark,
    images,
  };
}

function layersOf(template: YamlSource, config: YamlSource): TemplateLayer[] {
  const overrides = isMapping(config.raw) ? config.raw.overrides : undefined;
  const base: TemplateLayer = { source: template, at: [], raw: template.raw };
  return isMapping(overrides) ? [base, { source: config, at: ['overrides'], raw: overrides }] : [base];
}

/** Absolute paths of all files that decide the plan. */
export function filesOf({
  config,
  source,
  folder,
  template,
  drawings,
  studios,
  letterhead,
  watermark,
  images,
}: PlanInputs): string[] {
  return [
    source.file,
    template.file,
    ...drawings,
    ...studios.read,
    ...logosOf({ watermark, images }),
    ...(config.orders ? [path.resolve(folder, config.orders)] : []),
    ...(letterhead.logo ? [letterhead.logo] : []),
  ];
}
