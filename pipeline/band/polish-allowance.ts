import { firstLine, type SectionDesign, type ShapeDesign, sectionKind } from '../plan/design.ts';
import type { GapDesign } from '../plan/gap-design.ts';
import type { SeamDesign } from '../plan/seam-design.ts';
import type { SettingDesign } from '../plan/setting-design.ts';
import type { StrandsDesign } from '../plan/strands-design.ts';
import type { OtherWidth, OutlineDesign, TaperDesign } from '../plan/width-design.ts';
import { grownFlat } from './flat-top.ts';
import { flatOutside, middlePath } from './outline.ts';
import { outsideSpan, outsideSurface } from './outside.ts';
import { curvatureOf, radiusAt } from './profile.ts';
import { raisedPath } from './seam.ts';
import { strandsOf } from './strand.ts';

/**
 * The design with metal left on for polishing: outside, bore and both faces stand `allowanceMm` proud, along their
 * normals, of where they end when finished. Rebuilt from parameters: arcs become their parallel arcs and rounded edges
 * grow by the allowance, which is the exact offset; stones stay where they are. Seam walls, walls of gaps, recess, hammer marks,
 * seats, claws and beads get none: they are not polished down. Grooves and letters are deeper by the allowance, so that
 * the finished surface has them as designed; flanks keep their slope. On a tapered band the offset
 * is exact within each section, and so it is where the outline bends.
 *
 * @param counts stones of each row as finished, so that a fitted row cannot come out otherwise
 */
export function withPolishAllowance(
  design: ShapeDesign,
  allowanceMm: number,
  counts: readonly number[],
): ShapeDesign {
  if (allowanceMm === 0) return design;
  const { section, taper, outline, flat, gaps } = design;
  const grown = {
    ...design,
    circumferenceMm: design.circumferenceMm - 2 * Math.PI * allowanceMm,
    widthMm: design.widthMm + 2 * allowanceMm,
    thicknessMm: design.thicknessMm + 2 * allowanceMm,
    ...(taper && { taper: grownTaper(taper, section, allowanceMm) }),
    ...(outline && { outline: grownOutline(design, outline, allowanceMm) }),
    ...(flat && { flat: grownFlat(flat, flatOutside(design)!.top, allowanceMm) }),
    // wires grow about their own middles, which stay
    ...(design.strands && { strands: grownStrands(design, design.strands, allowanceMm) }),
    ...(gaps && { gaps: gaps.map((gap) => grownGap(gap, allowanceMm)) }),
    section: grownSection(design, allowanceMm),
    // the floor of a channel stays where it is
    lanes: design.lanes.map((lane) =>
      lane.inlay ? { ...lane, inlay: { ...lane.inlay, depthMm: lane.inlay.depthMm + allowanceMm } } : lane,
    ),
    seams: design.seams.map((seam) => deeperGroove(seam, allowanceMm)),
    ...deeperLetters(design, allowanceMm),
    rows: design.rows.map((row, i) => ({
      ...row,
      // of staggered lines the first decides
      count: counts[i] === undefined ? row.count : row.stagger ? firstLine(row, counts[i]) : counts[i],
      setDepthMm: row.setDepthMm + allowanceMm,
      ...(row.setting.style === 'flush' && { coverMm: allowanceMm }),
      setting: deeperSetting(row.setting, allowanceMm),
    })),
  };
  return section.step ? withStepDepth(design, grown, allowanceMm) : grown;
}

function grownStrands(design: ShapeDesign, strands: StrandsDesign, by: number): StrandsDesign {
  const { wireMm } = strandsOf(design)!;
  const { between, liner } = strands;
  return {
    ...strands,
    wireMm: wireMm + 2 * by,
    // surfaces that face each other come nearer, or run deeper into each other, by what both have more
    between:
      between.kind === 'clear'
        ? { kind: 'clear', leastMm: between.leastMm - 2 * by }
        : { kind: 'joined', overlapMm: between.overlapMm + 2 * by },
    ...(liner && {
      liner: { ...liner, thicknessMm: liner.thicknessMm + 2 * by, edgeMm: liner.edgeMm + by },
    }),
  };
}

/** Walls of gaps stay; their rims and corners end as designed once the surfaces beside them are polished down. */
function grownGap(gap: GapDesign, by: number): GapDesign {
  const softer = { ...gap, softenMm: gap.softenMm + by };
  return softer.kind === 'split' ? softer : { ...softer, roundMm: softer.roundMm + by };
}

/** What of a setting is measured from the surface that is polished away; claws and lips stand on stones and girdles. */
function deeperSetting(setting: SettingDesign, by: number): SettingDesign {
  switch (setting.style) {
    case 'grain':
      return { ...setting, fieldDepthMm: setting.fieldDepthMm + by };
    case 'bezel':
    case 'head':
      return { ...setting, wallMm: setting.wallMm + by };
    case 'shared-claws':
    case 'channel':
    case 'flush':
    case 'none':
      return setting;
  }
}

function grownSection(design: ShapeDesign, by: number): SectionDesign {
  const { section, widthMm } = design;
  const { crestMm = 0, bevel, ridge, step } = section;
  const [fromZ, toZ] = outsideSpan(design);
  const radius = (softening: number) => (softening > 0 ? softening + by : 0);
  const bulge = sectionKind(section.name).dome < 0 ? -by : by;
  const dome = (sagittaMm: number, half: number) =>
    parallelSagitta(sagittaMm, 2 * half, 2 * (half + by), bulge);
  const low = dome(section.domeMm, crestMm - fromZ);
  const high = dome(section.farDomeMm ?? section.domeMm, toZ - crestMm);
  return {
    ...section,
    domeMm: low,
    ...(high !== low && { farDomeMm: high }),
    ...(bevel && {
      bevel: {
        ...bevel,
        lowMm: grownChamfer(bevel.lowMm, bevel.lowRad, by),
        highMm: grownChamfer(bevel.highMm, bevel.highRad, by),
        roundMm: bevel.roundMm + by,
      },
    }),
    ...(ridge && { ridge: { ...ridge, roundMm: ridge.roundMm + by } }),
    ...(step && {
      step: { ...step, softenMm: radius(step.softenMm), footMm: Math.max(0, step.footMm - by) },
    }),
    comfortMm: parallelSagitta(section.comfortMm, widthMm, widthMm + 2 * by, by),
    edgeMm: radius(section.edgeMm),
    ...(section.farEdgeMm !== undefined && { farEdgeMm: radius(section.farEdgeMm) }),
    boreEdgeMm: radius(section.boreEdgeMm),
  };
}

function grownTaper(taper: TaperDesign, section: SectionDesign, by: number): TaperDesign {
  return { ...taper, ...grownOther(taper, section, by), thicknessMm: taper.thicknessMm + 2 * by };
}

/** The middle line stays where it is, also where it was found for the finished band. */
function grownOutline(design: ShapeDesign, outline: OutlineDesign, by: number): OutlineDesign {
  const { around: _, ...rest } = outline;
  const middle = middlePath(design);
  return {
    ...rest,
    ...(middle && { middle }),
    ...(outline.width && { width: raisedPath(outline.width, 2 * by) }),
    other: grownOther(outline.other, design.section, by),
  };
}

function grownOther(other: OtherWidth, { bevel }: SectionDesign, by: number): OtherWidth {
  const { bevelMm } = other;
  return {
    ...other,
    widthMm: other.widthMm + 2 * by,
    ...(bevel &&
      bevelMm && {
        bevelMm: [grownChamfer(bevelMm[0], bevel.lowRad, by), grownChamfer(bevelMm[1], bevel.highRad, by)],
      }),
  };
}

/** Width of a chamfer whose edge moves out by the allowance and whose corner by its mitre, tan(α/2) of it. */
function grownChamfer(widthMm: number, angle: number, by: number): number {
  return widthMm + by * (1 - Math.tan(angle / 2));
}

/** Shoulders rise by the allowance while the outside does so along its slope, at a riser that has moved out. */
function withStepDepth(finished: ShapeDesign, grown: ShapeDesign, by: number): ShapeDesign {
  const step = grown.section.step!;
  const riserRadius = (design: ShapeDesign) => {
    const [fromZ, toZ] = outsideSpan(design);
    return radiusAt(outsideSurface(design)(0), step.sides === 'high' ? toZ : fromZ);
  };
  const depthMm = step.depthMm + riserRadius(grown) - riserRadius(finished) - by;
  return { ...grown, section: { ...grown.section, step: { ...step, depthMm } } };
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
  // leaning walls go on to the surface that is polished away
  const deeper = <T extends { depthMm: number; coverMm?: number }>(letters: T): T => ({
    ...letters,
    depthMm: letters.depthMm + by,
    coverMm: (letters.coverMm ?? 0) + by,
  });
  const { inside, outside } = engraving;
  return {
    engraving: { ...(inside && { inside: deeper(inside) }), ...(outside && { outside: deeper(outside) }) },
  };
}
