import path from 'node:path';
import { ProblemError } from '../problem.ts';
import { PROOF_IMAGES } from './client-plan.ts';
import type { Config } from './config-schema.ts';
import type { Findings } from './findings.ts';
import { framedOutputs } from './frames.ts';
import type { ImageOutput, WatermarkPlan } from './plan.ts';
import type { CatalogueFiles } from './reading.ts';
import type { FieldPath } from './yaml-source.ts';

const MOST_BYTES = 8 * 1024 * 1024;
const PNG = [0x89, 0x50, 0x4e, 0x47];

function isPng(bytes: Uint8Array): boolean {
  return PNG.every((b, i) => bytes[i] === b);
}

function isSvg(bytes: Uint8Array): boolean {
  return /<svg[\s/>]/.test(new TextDecoder().decode(bytes.subarray(0, 65_536)));
}

/** A logo's bytes, or what is wrong with its file. Whether it draws, provers see. */
async function readLogo(file: string, files: CatalogueFiles): Promise<Uint8Array | string> {
  try {
    const content = await files.read(file, MOST_BYTES);
    return isPng(content) || isSvg(content) ? content : 'a file that is neither SVG nor PNG';
  } catch (error) {
    return error instanceof Error ? error.message : String(error);
  }
}

type Written = NonNullable<Config['watermark']>;

/** A watermark with its logo as an absolute path; a logo that cannot be used is reported. */
async function resolveLogo(
  watermark: Written,
  at: FieldPath,
  folder: string,
  files: CatalogueFiles,
  findings: Findings,
): Promise<WatermarkPlan> {
  if (!watermark.image) {
    await prove(watermark, [...at, 'text'], files, findings);
    return watermark;
  }
  const image = path.resolve(folder, watermark.image);
  const read = await readLogo(image, files);
  if (typeof read === 'string')
    findings.add({
      code: 'unreadable-logo',
      path: [...at, 'image'],
      expected: `an SVG or PNG file of at most ${MOST_BYTES / 1024 / 1024} MB`,
      received: read,
      advice: `Check ${image}; paths start from the config's folder.`,
    });
  else await prove({ ...watermark, image }, [...at, 'image'], files, findings, read);
  return { ...watermark, image };
}

async function prove(
  mark: WatermarkPlan,
  at: FieldPath,
  files: CatalogueFiles,
  findings: Findings,
  bytes?: Uint8Array,
): Promise<void> {
  try {
    await files.prove?.watermark(mark, bytes);
  } catch (error) {
    if (!(error instanceof ProblemError)) throw error;
    findings.adopt(error.problems, at);
  }
}

/** The catalogue's watermark. */
export async function planWatermark(
  config: Config,
  folder: string,
  files: CatalogueFiles,
  findings: Findings,
): Promise<WatermarkPlan | undefined> {
  return config.watermark && resolveLogo(config.watermark, ['watermark'], folder, files, findings);
}

/** Watermark of pictures in proofs: false for none, undefined for the catalogue's. */
export async function planProofWatermark(
  { proofs }: Config,
  folder: string,
  files: CatalogueFiles,
  findings: Findings,
): Promise<WatermarkPlan | false | undefined> {
  const own = typeof proofs === 'object' ? proofs.watermark : undefined;
  return own && resolveLogo(own, ['proofs', 'watermark'], folder, files, findings);
}

/** Image outputs with their own watermarks; two that would write the same file are reported. */
export async function planImages(
  config: Config,
  folder: string,
  files: CatalogueFiles,
  findings: Findings,
): Promise<ImageOutput[]> {
  const images: ImageOutput[] = [];
  const seen = new Map<string, number>();
  for (const [i, { watermark, frames, ...rest }] of config.outputs.images.entries()) {
    const at = ['outputs', 'images', i];
    if (rest.name === PROOF_IMAGES)
      findings.add({
        code: 'image-outputs-alike',
        path: at,
        expected: `a name other than "${PROOF_IMAGES}"`,
        received: `an output named "${PROOF_IMAGES}"`,
        advice: 'Proofs make that output themselves: rename yours.',
      });
    const own = watermark && (await resolveLogo(watermark, [...at, 'watermark'], folder, files, findings));
    const output = { ...rest, ...(watermark === undefined ? {} : { watermark: own ?? false }) };
    const framed = framedOutputs(output, frames, config.outputs.frames, [...at, 'frames'], findings);
    images.push(...framed);
    const written = framed.flatMap(({ frame }) =>
      [...new Set(rest.widths)].map((width) => ({
        width,
        file: `${[rest.name, frame?.name].filter(Boolean).join('_')} ${rest.format} ${width}`,
      })),
    );
    for (const { width, file } of written) {
      const before = seen.get(file);
      seen.set(file, i);
      if (before === undefined) continue;
      findings.add({
        code: 'image-outputs-alike',
        path: at,
        expected: 'files that no other output writes',
        received: `${rest.format} of ${width} px, as outputs.images[${before}]`,
        advice: 'Give one of them a "name", which goes into its file names, or other widths.',
      });
    }
  }
  if (images.length > 0 && images.every((i) => i.name !== undefined || i.frame !== undefined))
    findings.add({
      code: 'no-catalogue-picture',
      path: ['outputs', 'images'],
      expected: 'at least one output without a name that is not cut to frames, for the catalogue’s own page',
      received: 'named or framed outputs only',
      advice: 'Remove one of the names, add "full" to its frames, or add an output without either.',
    });
  return images;
}

/** Files that the watermarks of a plan are drawn from. */
export function logosOf(plan: { watermark?: WatermarkPlan; images: readonly ImageOutput[] }): string[] {
  const marks = [plan.watermark, ...plan.images.map((i) => i.watermark)];
  return [...new Set(marks.flatMap((m) => (m && m.image !== undefined ? [m.image] : [])))];
}
