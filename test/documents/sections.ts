import type { BenchCheck } from '../../pipeline/band/built-shape.ts';
import { DRAWING_STYLE, sectionDrawing } from '../../pipeline/papers/bench-drawing.ts';
import { SECTION_NAMES } from '../../pipeline/plan/design.ts';
import { checkShape } from '../../pipeline/setting/build-shape.ts';
import { planOf } from '../plan/workspace.ts';
import { type GalleryBand, galleryConfig } from './gallery.ts';

/** Lines of a section as the gallery shows it, by its name. */
const LINES: Partial<Record<string, string>> = {
  flat: 'section: { name: flat, edge: 0.3 mm }',
  d: 'section: { name: d, dome: 0.5 mm }',
  court: 'section: { name: court, dome: 0.5 mm, comfort: 0.2 mm }',
  'flat-court': 'section: { name: flat-court, comfort: 0.2 mm, edge: 0.25 mm }',
  concave: 'section: { name: concave, dome: 0.3 mm }',
  bevelled: 'section: { name: bevelled, bevel: { width: 20 %, angle: 30 deg, round: 0.15 mm } }',
  'knife-edge': 'section: { name: knife-edge, ridge: { drop: 0.9 mm, round: 0.2 mm } }',
};

const sectionBand = (name: string): GalleryBand => ({
  name: `section-${name}`,
  template: 'plain-court',
  view: 'front',
  yaml: `width: 5 mm\nthickness: 2 mm\n${LINES[name] ?? `section: ${name}`}\n`,
});

async function shapeOf(band: GalleryBand) {
  const { plan } = await planOf(galleryConfig(band));
  return Object.values(plan.shapes)[0];
}

/** Dimensioned drawings of every section, by file name; as on a bench sheet. */
export async function sectionDrawings(): Promise<Record<string, string>> {
  const drawn: Record<string, string> = {};
  for (const name of SECTION_NAMES) {
    const svg = sectionDrawing(await shapeOf(sectionBand(name)), 0).replace(
      /<text[^>]*>Section at[^<]*<\/text>/,
      '',
    );
    drawn[`section-${name}.svg`] =
      `${svg.replace('>', `><style>${DRAWING_STYLE}</style><rect width="100%" height="100%" fill="#fff"/>`)}\n`;
  }
  return drawn;
}

export function sectionGallery(): string {
  return SECTION_NAMES.map(
    (name) =>
      `### ${name}\n\n![Section ${name}, dimensioned](pictures/section-${name}.svg)\n\n\`\`\`yaml\n${sectionBand(name).yaml}\`\`\``,
  ).join('\n\n');
}

/** What the bench says of bands, planned and not cut. */
export async function checksOf(bands: readonly GalleryBand[]): Promise<BenchCheck[]> {
  const checks: BenchCheck[] = [];
  for (const band of bands) checks.push(...(await checkShape(await shapeOf(band))));
  return checks;
}
