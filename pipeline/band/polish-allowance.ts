import type { ShapeDesign } from '../catalogue/design.ts';
import { curvatureOf } from './profile.ts';

/**
 * The design with metal left on for polishing: outside, bore and both faces stand `allowanceMm` proud, along their
 * normals, of where they end when finished. Rebuilt from parameters: arcs become their parallel arcs and rounded edges
 * grow by the allowance, which is the exact offset; stones stay where they are. Seam walls, recess, hammer marks,
 * seats and claws get none: they are not polished down.
 *
 * @param counts stones of each row as finished, so that a fitted row cannot come out otherwise
 */
export function withPolishAllowance(
  design: ShapeDesign,
  allowanceMm: number,
  counts: readonly number[],
): ShapeDesign {
  if (allowanceMm === 0) return design;
  const { section, widthMm } = design;
  const width = widthMm + 2 * allowanceMm;
  const grown = (radius: number) => (radius > 0 ? radius + allowanceMm : 0);
  return {
    ...design,
    circumferenceMm: design.circumferenceMm - 2 * Math.PI * allowanceMm,
    widthMm: width,
    thicknessMm: design.thicknessMm + 2 * allowanceMm,
    section: {
      ...section,
      domeMm: parallelSagitta(section.domeMm, widthMm, width, allowanceMm),
      comfortMm: parallelSagitta(section.comfortMm, widthMm, width, allowanceMm),
      edgeMm: grown(section.edgeMm),
      boreEdgeMm: grown(section.boreEdgeMm),
    },
    rows: design.rows.map((row, i) => ({
      ...row,
      // of two staggered lines the first decides; an open one has a stone more than the second
      count: counts[i] === undefined ? row.count : row.stagger ? Math.ceil(counts[i] / 2) : counts[i],
      setDepthMm: row.setDepthMm + allowanceMm,
      setting:
        row.setting.style === 'grain'
          ? { ...row.setting, fieldDepthMm: row.setting.fieldDepthMm + allowanceMm }
          : row.setting,
    })),
  };
}

/** Sagitta over `wide` of the arc parallel to that of sagitta `sagittaMm` over `chord`, `out` mm further out. */
function parallelSagitta(sagittaMm: number, chord: number, wide: number, out: number): number {
  const curvature = curvatureOf(sagittaMm, chord);
  if (curvature === 0) return 0;
  const radius = 1 / curvature + out;
  return radius - Math.sqrt(radius * radius - (wide * wide) / 4);
}
