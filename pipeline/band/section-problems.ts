import { type ShapeDesign, sectionKind } from '../catalogue/design.ts';
import type { Problem } from '../problem.ts';
import { wallTop, wholeBand } from './lane.ts';
import { outerEnd, shoulderProfile } from './lane-section.ts';
import { outsideSpan } from './outside.ts';
import { degrees, LEAST_WALL_MM, mm, problem } from './problem-words.ts';
import { curvatureOf, radiusAt } from './profile.ts';

/** Least width of a flat or of one side of a dome, mm: narrower ones do not survive polishing (common practice). */
const LEAST_FACE_MM = 0.1;
/** Nothing that is polished has sharper corners, mm (common practice). */
const LEAST_ROUND_MM = 0.01;
const STEEPEST = (75 * Math.PI) / 180;

/** What is wrong with the numbers of a section, before any curve is drawn. */
export function sectionProblems(design: ShapeDesign): Problem[] {
  const { section, thicknessMm, taper } = design;
  const [fromZ, toZ] = outsideSpan(design);
  const found: Problem[] = [];
  if (!(toZ - fromZ >= 2 * LEAST_FACE_MM)) {
    const expected = `at least ${mm(2 * LEAST_FACE_MM)} of outside between the shoulders`;
    return [problem('step-too-wide', 'section.step', expected, mm(toZ - fromZ), 'Make the step narrower.')];
  }
  const crest = section.crestMm ?? 0;
  if (!(crest - fromZ >= LEAST_FACE_MM && toZ - crest >= LEAST_FACE_MM)) {
    const half = design.widthMm / 2;
    const expected = `a crest from ${mm(fromZ + LEAST_FACE_MM + half)} to ${mm(toZ - LEAST_FACE_MM + half)} from the first edge`;
    return [
      problem('crest-outside', 'section.crest', expected, mm(crest + half), 'Move it towards the middle.'),
    ];
  }
  // curves keep their radii: a back wider than the top reaches further round them
  const grown = Math.max(0, ((taper?.widthMm ?? 0) - design.widthMm) / 2);
  const arcs = [
    ['domeMm', section.domeMm, crest - fromZ],
    ['farDomeMm', section.farDomeMm ?? section.domeMm, toZ - crest],
    ['comfortMm', section.comfortMm, design.widthMm / 2],
  ] as const;
  for (const [key, sagitta, half] of arcs) {
    if (curvatureOf(sagitta, 2 * half) * (half + grown) <= 1 && sagitta <= half) continue;
    const expected = `an arc of less than a half circle from the middle to the edge, ${mm(half + grown)} away`;
    found.push(problem('dome-too-high', `section.${key}`, expected, mm(sagitta), 'Lower it.'));
  }
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
  if (section.step && !(section.step.depthMm > 0 && section.step.widthMm > 0)) {
    const received = `${section.step.widthMm} mm wide, ${section.step.depthMm} mm deep`;
    found.push(
      problem('step-size', 'section.step', 'a width and a depth above zero', received, 'Give both.'),
    );
  }
  if (taper && !(taper.widthMm > 0 && taper.thicknessMm > 0)) {
    const received = `${taper.widthMm} mm wide, ${taper.thicknessMm} mm thick`;
    found.push(problem('not-positive', 'taper', 'lengths above zero', received, 'Give positive lengths.'));
  }
  if (found.length === 0 && section.step && section.step.depthMm >= thicknessMm) {
    const expected = `a step less deep than the band is thick, ${mm(thicknessMm)}`;
    found.push(
      problem(
        'step-too-deep',
        'section.step.depth',
        expected,
        mm(section.step.depthMm),
        'Make it shallower.',
      ),
    );
  }
  return found;
}

/** Angles at which the whole section is looked over: all measures go one way from top to back. */
function lookedOver({ taper }: ShapeDesign): number[] {
  return taper ? [0, Math.PI / 3, Math.PI / 2, (2 * Math.PI) / 3, Math.PI] : [0];
}

/** What does not fit of the whole band's section, once its curves are drawn: flats, chamfers and steps run out. */
export function faceProblems(design: ShapeDesign): Problem[] {
  const band = wholeBand(design);
  const { section } = design;
  const worst = new Map<string, Problem & { by: number }>();
  const note = (by: number, problem: Problem) => {
    if (by > 0 && by > (worst.get(problem.code)?.by ?? 0)) worst.set(problem.code, { ...problem, by });
  };
  for (const theta of lookedOver(design)) {
    const outer = band.outer(theta);
    const where = design.taper ? ` at θ = ${degrees(theta)}` : '';
    const [from, to] = [outerEnd(outer, band.low, theta), outerEnd(outer, band.high, theta)];
    for (const piece of section.bevel || section.ridge ? outer.pieces : []) {
      if (piece.curvature > 0) continue;
      const width = Math.min(to, piece.toZ) - Math.max(from, piece.fromZ);
      const expected = `flats of at least ${mm(LEAST_FACE_MM)} between softenings and corners`;
      const advice = 'Soften or round less, or move the crest or the chamfers.';
      const received = `${mm(width)}${where}`;
      note(LEAST_FACE_MM - width, problem('face-too-narrow', 'section', expected, received, advice));
    }
    for (const bound of [band.low, band.high]) {
      if (!bound.shoulder) continue;
      const { shoulder, side } = bound;
      const level = shoulderProfile(bound, shoulder, outer, theta);
      const edge = shoulder.edge.z(theta);
      const under = radiusAt(level, edge) - radiusAt(band.bore(theta), edge);
      const softened = shoulder.edgeSoften + bound.boreSoften;
      const left = under - softened;
      note(
        LEAST_WALL_MM - left,
        problem(
          'step-too-deep',
          'section.step.depth',
          `at least ${mm(LEAST_WALL_MM)} of wall under the shoulder beside its softening of ${mm(softened)}`,
          `${mm(left)}${where} (shoulder ${mm(under)} over the bore)`,
          'Make the step shallower or the band thicker.',
        ),
      );
      const flat = side * (edge - bound.curve.z(theta)) - shoulder.edgeSoften - shoulder.footMm;
      note(
        LEAST_FACE_MM - flat,
        problem(
          'step-too-narrow',
          'section.step.width',
          `at least ${mm(LEAST_FACE_MM)} of shoulder between its softenings`,
          `${mm(flat)}${where}`,
          'Widen the step or soften less.',
        ),
      );
      const top = wallTop(outer, bound.outerSoften, side, bound.curve.z(theta));
      const height = top - (radiusAt(level, 0) + shoulder.footMm);
      note(
        LEAST_RISER_MM - height,
        problem(
          'step-too-shallow',
          'section.step.depth',
          `at least ${mm(LEAST_RISER_MM)} of riser between its softenings`,
          `${mm(height)}${where}`,
          'Make the step deeper or soften it less.',
        ),
      );
    }
  }
  return [...worst.values()].map(({ by: _, ...problem }) => problem);
}

/** Least height of a riser between its softenings, mm. */
const LEAST_RISER_MM = 0.02;
