import path from 'node:path';
import type { Config } from './config-schema.ts';
import type { Findings } from './findings.ts';
import type { WatermarkPlan } from './plan.ts';
import type { CatalogueFiles } from './reading.ts';

const MOST_BYTES = 8 * 1024 * 1024;
const PNG = [0x89, 0x50, 0x4e, 0x47];

function isPng(bytes: Uint8Array): boolean {
  return PNG.every((b, i) => bytes[i] === b);
}

function isSvg(bytes: Uint8Array): boolean {
  return /<svg[\s/>]/.test(new TextDecoder().decode(bytes.subarray(0, 65_536)));
}

/** What is wrong with a logo file, or undefined. Whether it draws is for the picture room to see. */
async function logoFault(file: string, files: CatalogueFiles): Promise<string | undefined> {
  try {
    const bytes = await files.size(file);
    if (bytes > MOST_BYTES) return `a file of ${(bytes / 1024 / 1024).toFixed(1)} MB`;
    const content = await files.read(file);
    return isPng(content) || isSvg(content) ? undefined : 'a file that is neither SVG nor PNG';
  } catch (error) {
    return error instanceof Error ? error.message : String(error);
  }
}

/** The watermark with its logo as an absolute path; a logo that cannot be used is reported. */
export async function planWatermark(
  config: Config,
  folder: string,
  files: CatalogueFiles,
  findings: Findings,
): Promise<WatermarkPlan | undefined> {
  const { watermark } = config;
  if (!watermark?.image) return watermark;
  const image = path.resolve(folder, watermark.image);
  const fault = await logoFault(image, files);
  if (fault)
    findings.add({
      code: 'unreadable-logo',
      path: ['watermark', 'image'],
      expected: `an SVG or PNG file of at most ${MOST_BYTES / 1024 / 1024} MB`,
      received: fault,
      advice: `Check ${image}; paths start from the config's folder.`,
    });
  return { ...watermark, image };
}
