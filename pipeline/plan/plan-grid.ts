import { type Axis, partsOf, readAxes } from './axis.ts';
import type { BandSource } from './band-source.ts';
import { axisOrder } from './config-file.ts';
import { type Expansion, expandGrid, patternOf } from './expansion.ts';
import type { Findings } from './findings.ts';
import type { GridCell } from './match.ts';
import { expandPairs } from './pairing.ts';
import type { PlanGrid, Variant } from './plan.ts';
import type { PlanInputs } from './plan-inputs.ts';
import { checkPattern, SkuRegister } from './sku.ts';
import { readWaivers } from './waivers.ts';

/** The grid, and what the rest of the plan asks of where its variants come from. */
export interface ExpandedGrid extends PlanGrid {
  /** axes with all that their values change */
  written: readonly Axis[];
  cells: ReadonlyMap<Variant, GridCell>;
  /** of every band by SKU, partners too */
  sources: ReadonlyMap<string, BandSource>;
}

/** Expands the grid into variants and pairs with the shapes that they need. */
export function planGrid({ config, source, designs, base }: PlanInputs, findings: Findings): ExpandedGrid {
  const parts = partsOf(base);
  const axes = readAxes(config, axisOrder(source), parts, findings);
  const pattern = patternOf(config, axes);
  checkPattern(pattern, axes, findings);
  const skus = new SkuRegister(findings);
  const waivers = readWaivers(config, axes, findings);
  const sources = new Map<string, BandSource>();
  const made = { shapes: {}, sources };
  const expansion: Expansion = { config, axes, designs, findings, skus, pattern, waivers, ...made };
  // a wrong pattern or slug makes many SKUs wrong: report the cause and not its thousand effects
  const causes = findings.errors.some((p) => p.path === 'sku' || p.code === 'axis-values-alike');
  const expanded = causes ? [] : expandGrid(expansion);
  const pairs = expandPairs(expanded, parts.lanes, expansion);
  return {
    axes: axes.map(({ name, values }) => ({
      name,
      values: values.map(({ label, slug }) => ({ label, slug })),
    })),
    shapes: expansion.shapes,
    variants: expanded.map((x) => x.variant),
    pairs,
    written: axes,
    cells: new Map(expanded.map((x) => [x.variant, x.cell])),
    sources,
  };
}
