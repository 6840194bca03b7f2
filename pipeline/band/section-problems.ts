import { type SectionDesign, type ShapeDesign, sectionKind } from '../plan/design.ts';
import type { Problem } from '../problem.ts';
import { type Lane, type LaneBound, wallTop, wholeBand } from './lane.ts';
import { outerEnd, shoulderProfile } from './lane-section.ts';
import { isUniform, outlineAngles, widthCurve } from './outline.ts';
import { outsideSpan } from './outside.ts';
import { degrees, LEAST_WALL_MM, mm, problem } from './problem-words.ts';
import { curvatureOf, type Profile, radiusAt } from './profile.ts';

/** Least width of a flat or of one side of a dome, mm: narrower ones do not survive polishing (common practice). */
const LEAST_FACE_MM = 0.1;
/** Nothing that is polished has sharper corners, mm (common practice). */
const LEAST_ROUND_MM = 0.01;
const STEEPEST = (75 * Math.PI) / 180;

/** What is wrong with the numbers of a section, before any curve is drawn. */
export function sectionProblems(design: ShapeDesign): Problem[] {
  const span = spanProblem(design);
  if (span) return [span];
  const found = [
    ...arcProblems(design),
    ...flatProblems(design.section),
    ...stepProblems(design.section),
    ...taperProblems(design),
  ];
  const { section, thicknessMm } = design;
  if (found.length > 0 || !section.step || section.step.depthMm < thicknessMm) return found;
  const expected = `a step less deep than the band is thick, ${mm(thicknessMm)}`;
  const received = mm(section.step.depthMm);
  return [problem('step-too-deep', 'section.step.depth', expected, received, 'Make it shallower.')];
}

/** Room for an outside between its shoulders, and for either side of its crest. */
function spanProblem(design: ShapeDesign): Problem | undefined {
  const [fromZ, toZ] = outsideSpan(design);
  if (!(toZ - fromZ >= 2 * LEAST_FACE_MM)) {
    const expected = `at least ${mm(2 * LEAST_FACE_MM)} of outside between the shoulders`;
    return problem('step-too-wide', 'section.step', expected, mm(toZ - fromZ), 'Make the step narrower.');
  }
  const crest = design.section.crestMm ?? 0;
  if (crest - fromZ >= LEAST_FACE_MM && toZ - crest >= LEAST_FACE_MM) return undefined;
  const half = design.widthMm / 2;
  const expected = `a crest from ${mm(fromZ + LEAST_FACE_MM + half)} to ${mm(toZ - LEAST_FACE_MM + half)} from the first edge`;
  return problem('crest-outside', 'section.crest', expected, mm(crest + half), 'Move it towards the middle.');
}

function arcProblems(design: ShapeDesign): Problem[] {
  const { section, widthMm } = design;
  const [fromZ, toZ] = outsideSpan(design);
  const crest = section.crestMm ?? 0;
  // curves keep their radii: where the band is wider than at its top it reaches further round them
  const width = widthCurve(design);
  const widest = isUniform(design) ? widthMm : Math.max(...outlineAngles(design).map(width.z));
  const grown = Math.max(0, (widest - widthMm) / 2);
  const arcs = [
    ['domeMm', section.domeMm, crest - fromZ],
    ['farDomeMm', section.farDomeMm ?? section.domeMm, toZ - crest],
    ['comfortMm', section.comfortMm, widthMm / 2],
  ] as const;
  return arcs.flatMap(([key, sagitta, half]) => {
    if (curvatureOf(sagitta, 2 * half) * (half + grown) <= 1 && sagitta <= half) return [];
    const expected = `an arc of less than a half circle from the middle to the edge, ${mm(half + grown)} away`;
    return [problem('dome-too-high', `section.${key}`, expected, mm(sagitta), 'Lower it.')];
  });
}

function flatProblems(section: SectionDesign): Problem[] {
  const found: Problem[] = [];
  const flats = section.ridge ?? section.bevel;
  const wanted = sectionKind(section.name).flats;
  if (wanted && !section[wanted]) {
    found.push(
      problem('section-incomplete', `section.${wanted}`, 'its measures', 'none', `Give the ${wanted}.`),
    );
  }
  if (flats && !(flats.roundMm >= LEAST_ROUND_MM)) {
    const expected = `corners rounded by at least ${mm(LEAST_ROUND_MM)}`;
    found.push(
      problem('corner-too-sharp', `section.${wanted}.round`, expected, mm(flats.roundMm), 'Round it more.'),
    );
  }
  if (flats && ![flats.lowRad, flats.highRad].every((angle) => angle > 0 && angle <= STEEPEST)) {
    const steep = [flats.lowRad, flats.highRad].map((angle) => `${((angle * 180) / Math.PI).toFixed(1)}°`);
    const expected = 'flats that fall by more than 0° and up to 75°';
    found.push(problem('flat-angle', `section.${wanted}`, expected, steep.join(' and '), 'Change the drop.'));
  }
  return found;
}

function stepProblems({ step }: SectionDesign): Problem[] {
  if (!step || (step.depthMm > 0 && step.widthMm > 0)) return [];
  const received = `${step.widthMm} mm wide, ${step.depthMm} mm deep`;
  return [problem('step-size', 'section.step', 'a width and a depth above zero', received, 'Give both.')];
}

function taperProblems({ taper }: ShapeDesign): Problem[] {
  if (!taper || (taper.widthMm > 0 && taper.thicknessMm > 0)) return [];
  const received = `${taper.widthMm} mm wide, ${taper.thicknessMm} mm thick`;
  return [problem('not-positive', 'taper', 'lengths above zero', received, 'Give positive lengths.')];
}

/** Angles at which the whole section is looked over: of a taper all measures go one way from top to back. */
function lookedOver(design: ShapeDesign): number[] {
  if (design.outline) return outlineAngles(design);
  return design.taper ? [0, Math.PI / 3, Math.PI / 2, (2 * Math.PI) / 3, Math.PI] : [0];
}

/** A problem and by how many mm its measure falls short; none if it does not. */
type Shortfall = Problem & { by: number };

/** What does not fit of the whole band's section, once its curves are drawn: flats, chamfers and steps run out. */
export function faceProblems(design: ShapeDesign): Problem[] {
  const band = wholeBand(design);
  const worst = new Map<string, Shortfall>();
  for (const theta of lookedOver(design)) {
    const outer = band.outer(theta);
    const where = !isUniform(design) ? ` at θ = ${degrees(theta)}` : '';
    const found = [
      ...(design.section.bevel || design.section.ridge ? flatShortfalls(band, outer, theta, where) : []),
      ...[band.low, band.high].flatMap((bound) => stepShortfalls(band, bound, outer, theta, where)),
    ];
    for (const each of found)
      if (each.by > 0 && each.by > (worst.get(each.code)?.by ?? 0)) worst.set(each.code, each);
  }
  return [...worst.values()].map(({ by: _, ...problem }) => problem);
}

function flatShortfalls(band: Lane, outer: Profile, theta: number, where: string): Shortfall[] {
  const [from, to] = [outerEnd(outer, band.low, theta), outerEnd(outer, band.high, theta)];
  return outer.pieces.flatMap((piece) => {
    if (piece.curvature > 0) return [];
    const width = Math.min(to, piece.toZ) - Math.max(from, piece.fromZ);
    const expected = `flats of at least ${mm(LEAST_FACE_MM)} between softenings and corners`;
    const advice = 'Soften or round less, or move the crest or the chamfers.';
    const received = `${mm(width)}${where}`;
    return [
      { ...problem('face-too-narrow', 'section', expected, received, advice), by: LEAST_FACE_MM - width },
    ];
  });
}

/** Wall under a shoulder, the shoulder itself and its riser. */
function stepShortfalls(
  band: Lane,
  bound: LaneBound,
  outer: Profile,
  theta: number,
  where: string,
): Shortfall[] {
  if (!bound.shoulder) return [];
  const { shoulder, side } = bound;
  const level = shoulderProfile(bound, shoulder, outer, theta);
  const edge = shoulder.edge.z(theta);
  const under = radiusAt(level, edge) - radiusAt(band.bore(theta), edge);
  const softened = shoulder.edgeSoften + bound.boreSoften;
  const left = under - softened;
  const flat = side * (edge - bound.curve.z(theta)) - shoulder.edgeSoften - shoulder.footMm;
  const top = wallTop(outer, bound.outerSoften, side, bound.curve.z(theta));
  const height = top - (radiusAt(level, 0) + shoulder.footMm);
  return [
    {
      ...problem(
        'step-too-deep',
        'section.step.depth',
        `at least ${mm(LEAST_WALL_MM)} of wall under the shoulder beside its softening of ${mm(softened)}`,
        `${mm(left)}${where} (shoulder ${mm(under)} over the bore)`,
        'Make the step shallower or the band thicker.',
      ),
      by: LEAST_WALL_MM - left,
    },
    {
      ...problem(
        'step-too-narrow',
        'section.step.width',
        `at least ${mm(LEAST_FACE_MM)} of shoulder between its softenings`,
        `${mm(flat)}${where}`,
        'Widen the step or soften less.',
      ),
      by: LEAST_FACE_MM - flat,
    },
    {
      ...problem(
        'step-too-shallow',
        'section.step.depth',
        `at least ${mm(LEAST_RISER_MM)} of riser between its softenings`,
        `${mm(height)}${where}`,
        'Make the step deeper or soften it less.',
      ),
      by: LEAST_RISER_MM - height,
    },
  ];
}

/** Least height of a riser between its softenings, mm. */
const LEAST_RISER_MM = 0.02;
