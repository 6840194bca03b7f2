import { outsideSurface } from '../band/outside.ts';
import { radiusAt } from '../band/profile.ts';
import { seamWaves, seamWords } from '../band/seam.ts';
import { graduation, type ShapeDesign } from '../plan/design.ts';
import type { GapDesign } from '../plan/gap-design.ts';
import type { PlanGrid, ShapeKey, Variant } from '../plan/plan.ts';
import { canonicalJson } from '../store/canonical-json.ts';
import { bandFacts } from './band-facts.ts';
import type { SolidFacts } from './solid-facts.ts';

/** A row of stones at one size. */
export interface ResizedRow {
  name: string;
  count: number;
  /** distance between the centres of neighbours; null for a single stone and where it differs */
  pitchMm: number | null;
  /** least distance between neighbouring girdles; null for a single stone */
  gapMm: number | null;
}

/** A wave at one size: whole periods, and how long each is at the band's outside. */
export interface ResizedSeam {
  /** place among the design's seams, from 1 */
  seam: number;
  periods: number;
  waveLengthMm: number;
}

export interface ResizedBand {
  sku: string;
  size: string;
  innerDiameterMm: number;
  rows: ResizedRow[];
  seams: ResizedSeam[];
  massG: number;
}

/** One design over its sizes: what stays by construction and what is solved again. */
export interface Resizing {
  /** SKU of the first size, which names the design */
  sku: string;
  stays: string[];
  sizes: ResizedBand[];
}

/** Everything of a design but its size. */
function designKey(design: ShapeDesign): string {
  const { circumferenceMm: _, ...rest } = design;
  return canonicalJson(rest);
}

/**
 * Designs that were built in at least two sizes, small sizes first. Sizes of one design are compared in the alloys and
 * stones of its first variant, so that masses differ by size alone.
 */
export function resizings(
  plan: Pick<PlanGrid, 'shapes'>,
  bands: readonly Variant[],
  solids: ReadonlyMap<ShapeKey, SolidFacts>,
): Resizing[] {
  const groups = new Map<string, Map<string, Variant>>();
  for (const band of bands) {
    if (!solids.has(band.shape)) continue;
    const key = designKey(plan.shapes[band.shape]);
    const shapes = groups.get(key) ?? new Map<string, Variant>();
    groups.set(key, shapes);
    if (!shapes.has(band.shape)) shapes.set(band.shape, band);
  }
  return [...groups.values()]
    .filter((shapes) => shapes.size > 1)
    .map((shapes) => {
      const [first] = shapes.values();
      const sizes = [...shapes.values()].map((band) => {
        const solid = solids.get(band.shape) as SolidFacts;
        return resizedBand(band, first, plan.shapes[band.shape], solid);
      });
      sizes.sort((a, b) => a.innerDiameterMm - b.innerDiameterMm);
      return { sku: first.sku, stays: constants(plan.shapes[first.shape]), sizes };
    });
}

function resizedBand(band: Variant, first: Variant, design: ShapeDesign, solid: SolidFacts): ResizedBand {
  const outer = outsideSurface(design)(0);
  return {
    sku: band.sku,
    size: band.axes.size ?? `circumference ${solid.circumferenceMm.toFixed(2)} mm`,
    innerDiameterMm: solid.innerDiameterMm,
    rows: solid.fits.map(({ row: name, count, pitchMm, gapMm }) => ({ name, count, pitchMm, gapMm })),
    seams: design.seams.flatMap((seam, i) => {
      const waves = seamWaves(seam);
      if (!waves) return [];
      const { periods, atMm } = waves;
      const waveLengthMm = (2 * Math.PI * radiusAt(outer, atMm)) / periods;
      return [{ seam: i + 1, periods, waveLengthMm }];
    }),
    massG: bandFacts(
      { ...band, dress: first.dress, origins: first.origins, treatments: first.treatments },
      solid,
      { shapes: { [band.shape]: design }, language: 'en' },
      undefined,
    ).metalMassG,
  };
}

const mm = (value: number) => `${value.toFixed(2)} mm`;

/** What stays of an outline; a band laid round a head finds its bend anew at every size. */
function outlineWords({ outline }: ShapeDesign): string[] {
  if (!outline) return [];
  const { middle, around, width } = outline;
  return [
    ...(around ? [`runs round a head of ${mm(around.headMm)}, ${mm(around.gapMm)} from it`] : []),
    ...(middle ? [`middle line ${seamWords(middle)}`] : []),
    ...(width ? [`width ${seamWords(width)}`] : []),
  ];
}

function gapWords(gap: GapDesign): string {
  const over = gap.kind === 'open' ? '' : ` over ${((gap.spanRad * 180) / Math.PI).toFixed(0)}°`;
  return `gap ${gap.name}, ${gap.kind}, ${mm(gap.widthMm)} wide${over}, rims softened by ${mm(gap.softenMm)}`;
}

function constants(design: ShapeDesign): string[] {
  const { taper, flat } = design;
  const back = taper ? `, at the back ${mm(taper.widthMm)} and ${mm(taper.thicknessMm)}` : '';
  return [
    `${design.section.name} section, ${mm(design.widthMm)} wide, ${mm(design.thicknessMm)} thick${back}`,
    ...outlineWords(design),
    ...(flat
      ? [
          `flat on top ${mm(flat.lengthMm)} long, ${mm(flat.riseMm)} higher, ends rounded by ${mm(flat.edgeMm)}`,
        ]
      : []),
    ...(design.gaps ?? []).map(gapWords),
    ...design.seams.map((seam, i) => `seam ${i + 1} ${seamWords(seam)}`),
    ...design.rows.map((row) => {
      const length = row.lengthMm === undefined ? '' : `${row.lengthMm.toFixed(2)} by `;
      const to = graduation(row)
        .slice(1)
        .map((size) => ` to ${mm(size)}`)
        .join('');
      return `${row.name} of ${length}${mm(row.diameterMm)}${to} ${row.cut}, least gap ${mm(row.leastGapMm)}`;
    }),
  ];
}
