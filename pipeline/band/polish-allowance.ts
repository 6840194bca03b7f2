import type { SeamDesign, ShapeDesign } from '../catalogue/design.ts';
import { curvatureOf } from './profile.ts';

/**
 * The design with metal left on for polishing: outside, bore and both faces stand `allowanceMm` proud, along their
 * normals, of where they end when finished. Rebuilt from parameters: arcs become their parallel arcs and rounded edges
 * grow by the allowance, which is the exact offset; stones stay where they are. Seam walls, recess, hammer marks,
 * seats, claws and beads get none: they are not polished down. Grooves and letters are deeper by the allowance, so that
 * the finished surface has them as designed; flanks keep their slope.
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
    seams: design.seams.map((seam) => deeperGroove(seam, allowanceMm)),
    ...deeperLetters(design, allowanceMm),
    rows: design.rows.map((row, i) => ({
      ...row,
      count: counts[i] ?? row.count,
      setDepthMm: row.setDepthMm + allowanceMm,
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

function deeperGroove(seam: SeamDesign, by: number): SeamDesign {
  const groove = seam.marks?.groove;
  if (!seam.marks || !groove) return seam;
  const depthMm = groove.depthMm + by;
  const widthMm =
    groove.profile === 'v' ? (groove.widthMm * depthMm) / groove.depthMm : chordAt(groove, depthMm);
  return { ...seam, marks: { ...seam.marks, groove: { ...groove, depthMm, widthMm } } };
}

/** Chord of a round groove's circle at another height above its bottom; past a half circle, that of a wider half circle. */
function chordAt({ widthMm, depthMm }: { widthMm: number; depthMm: number }, deep: number): number {
  const radius = (widthMm * widthMm) / (8 * depthMm) + depthMm / 2;
  return Math.max(2 * deep, 2 * Math.sqrt(Math.max(0, 2 * radius * deep - deep * deep)));
}

function deeperLetters({ engraving }: ShapeDesign, by: number): Pick<ShapeDesign, 'engraving'> {
  if (!engraving) return {};
  const deeper = <T extends { depthMm: number }>(letters: T): T => ({
    ...letters,
    depthMm: letters.depthMm + by,
  });
  const { inside, outside } = engraving;
  return {
    engraving: { ...(inside && { inside: deeper(inside) }), ...(outside && { outside: deeper(outside) }) },
  };
}
