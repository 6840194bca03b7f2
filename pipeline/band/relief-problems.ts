import { rowSide, type ShapeDesign } from '../plan/design.ts';
import type { MotifDesign, PictureDesign, TextureDesign } from '../plan/texture-design.ts';
import type { Problem } from '../problem.ts';
import type { Lane } from './lane.ts';
import { outerEnd } from './lane-section.ts';
import { flankMm, motifOutline } from './motif.ts';
import { closingStretch, pictureLength, softeningMm } from './picture-relief.ts';
import { degrees, mm, pathOf, problem } from './problem-words.ts';
import { midRadius } from './profile.ts';
import { narrowestOuter } from './surface-field.ts';
import { cellsRound } from './texture.ts';

/** Marks may be this deep against the radius of a corner they are pressed into. */
const DEEPEST_OVER_CORNER = 0.3;
const LEAST_MARK_MM = 0.5;
const DEEPEST_MARK = 0.1;

/** Marks are shallow caps with metal round them, and stones need a smooth bed. */
export function hammerProblems(lane: Lane, design: ShapeDesign): Problem[] {
  const { hammer } = lane;
  if (!hammer) return [];
  const path = `${pathOf(lane)}.hammer`;
  const { facetMm, depthMm } = hammer;
  if (!(facetMm >= LEAST_MARK_MM && depthMm > 0 && depthMm <= facetMm * DEEPEST_MARK)) {
    const expected = `marks from ${mm(LEAST_MARK_MM)} wide and at most a tenth of that deep`;
    const received = `${facetMm} mm wide, ${depthMm} mm deep`;
    return [problem('hammer-size', path, expected, received, 'Planishing leaves shallow marks.')];
  }
  const found: Problem[] = [];
  const narrow = narrowestOuter(lane);
  if (narrow.width < facetMm / 2) {
    const expected = `at least half a mark, ${mm(facetMm / 2)}, between the softenings of lane '${lane.name}'`;
    const received = `${mm(narrow.width)} at θ = ${degrees(narrow.theta)}`;
    found.push(problem('hammer-too-coarse', path, expected, received, 'Use smaller marks or a wider lane.'));
  }
  return [...found, ...smoothnessProblems('hammer', depthMm, lane, design)];
}

/** Steepest mean flank of a relief: its depth against its size. */
const STEEPEST = 0.35;

/** Relief needs room for its pattern and metal below it. */
export function textureProblems(lane: Lane, design: ShapeDesign): Problem[] {
  const { hammer, texture } = lane;
  if (!texture) return [];
  const path = `${pathOf(lane)}.texture`;
  const { depthMm, sizeMm } = texture;
  if (hammer) {
    const advice = 'Hammer another lane or leave the texture out.';
    return [problem('texture-and-hammer', path, 'a texture or hammer marks', 'both', advice)];
  }
  if (texture.motif || texture.picture)
    return [
      ...(texture.motif ? motifProblems(lane, texture, texture.motif) : []),
      ...(texture.picture ? pictureProblems(lane, texture, texture.picture) : []),
      ...smoothnessProblems('texture', depthMm, lane, design),
    ];
  if (depthMm > STEEPEST * sizeMm) {
    const expected = `a depth of at most ${mm(STEEPEST * sizeMm)} for a pattern of ${mm(sizeMm)}`;
    const advice =
      'Make the pattern larger or shallower: flanks steeper than this cannot be cut or cast clean.';
    return [problem('texture-too-steep', `${path}.depth`, expected, mm(depthMm), advice)];
  }
  const found: Problem[] = [];
  const narrow = narrowestOuter(lane);
  if (narrow.width < sizeMm) {
    const expected = `at least one ${mm(sizeMm)} of the pattern between the softenings of lane '${lane.name}'`;
    const received = `${mm(narrow.width)} at θ = ${degrees(narrow.theta)}`;
    found.push(
      problem(
        'texture-too-coarse',
        `${path}.size`,
        expected,
        received,
        'Use a finer pattern or a wider lane.',
      ),
    );
  }
  return [...found, ...smoothnessProblems('texture', depthMm, lane, design)];
}

/** A motif stands clear of its next, between the lane's sides, and has strokes that reach its depth. */
function motifProblems(lane: Lane, texture: TextureDesign, motif: MotifDesign): Problem[] {
  const path = `${pathOf(lane)}.texture`;
  const outline = motifOutline(motif);
  if ('fault' in outline) {
    const { code, expected, received, advice } = outline.fault;
    return [problem(code, `${path}.drawing`, expected, received, advice)];
  }
  const found: Problem[] = [];
  const flank = flankMm(motif, texture.depthMm);
  const pitch = (2 * Math.PI * midRadius(lane.outer)) / cellsRound(lane.outer, texture);
  if (outline.widthMm + flank > pitch) {
    const expected = `a motif of at most ${mm(pitch - flank)} along the band, for one every ${mm(pitch)}`;
    found.push(
      problem(
        'motif-too-long',
        `${path}.size`,
        expected,
        mm(outline.widthMm),
        'Make it lower or set it farther apart.',
      ),
    );
  }
  const narrow = narrowestOuter(lane);
  if (motif.heightMm + flank > narrow.width) {
    const expected = `a motif of at most ${mm(narrow.width - flank)} between the softenings of lane '${lane.name}'`;
    const received = `${mm(motif.heightMm)} at θ = ${degrees(narrow.theta)}`;
    found.push(
      problem('motif-too-high', `${path}.height`, expected, received, 'Make it lower or the lane wider.'),
    );
  }
  return found;
}

/** A picture that closes round the band may be drawn out or in by this, a share of its length. */
const MOST_CLOSING = 0.25;

/** A picture stands clear of its next, or closes without being drawn out of shape, and lies between the lane's sides. */
function pictureProblems(lane: Lane, texture: TextureDesign, picture: PictureDesign): Problem[] {
  const path = `${pathOf(lane)}.texture`;
  const found: Problem[] = [];
  const count = cellsRound(lane.outer, texture);
  const round = 2 * Math.PI * midRadius(lane.outer);
  const long = pictureLength(picture);
  const room = round / count - 2 * softeningMm(picture, texture.depthMm);
  if (!picture.seamless && long > room) {
    const expected = `a picture of at most ${mm(room)} along the band, for one every ${mm(round / count)}`;
    const advice =
      'Make it lower, set it farther apart, or leave the size out: it then goes round edge to edge.';
    found.push(problem('picture-too-long', `${path}.size`, expected, mm(long), advice));
  }
  const stretch = closingStretch(lane, picture, count);
  if (Math.abs(stretch) > MOST_CLOSING) {
    const expected = `a picture that is drawn out or in by at most ${100 * MOST_CLOSING} % to close round ${mm(round)}`;
    const received = `${mm(long)} long, ${Math.round(100 * stretch)} %`;
    const advice = 'Make it higher or lower, or give a size: pictures then stand apart, in their own shape.';
    found.push(problem('picture-does-not-close', `${path}.height`, expected, received, advice));
  }
  const narrow = narrowestOuter(lane);
  if (picture.heightMm > narrow.width) {
    const expected = `a picture of at most ${mm(narrow.width)} between the softenings of lane '${lane.name}'`;
    const received = `${mm(picture.heightMm)} at θ = ${degrees(narrow.theta)}`;
    found.push(
      problem('picture-too-high', `${path}.height`, expected, received, 'Make it lower or the lane wider.'),
    );
  }
  return found;
}

/** Relief is pressed along the normals of a surface that bends less than it is deep, and stones need a smooth bed. */
function smoothnessProblems(
  what: 'hammer' | 'texture',
  depthMm: number,
  lane: Lane,
  design: ShapeDesign,
): Problem[] {
  const path = `${pathOf(lane)}.${what}`;
  const found: Problem[] = [];
  const sharpest = sharpestCurvature(lane);
  if (sharpest * depthMm > DEEPEST_OVER_CORNER) {
    const expected = `corners on lane '${lane.name}' rounded by at least ${mm(depthMm / DEEPEST_OVER_CORNER)} for marks so deep`;
    const advice = 'Round the ridge or the chamfers more, use shallower marks, or choose another lane.';
    found.push(problem(`${what}-over-corner`, path, expected, mm(1 / sharpest), advice));
  }
  const row = design.rows.find((r) => r.lane === lane.name && rowSide(r) === 'outside');
  if (row) {
    const received = `row '${row.name}' on lane '${lane.name}'`;
    const advice = 'Seats and claws are measured from a smooth surface: choose another lane.';
    found.push(problem(`${what}-under-stones`, path, 'a lane without stones', received, advice));
  }
  return found;
}

/** Greatest curvature of the outside of a lane at the top of the band, 1/mm. */
function sharpestCurvature({ outer, low, high }: Lane): number {
  const profile = outer(0);
  const [from, to] = [outerEnd(profile, low, 0), outerEnd(profile, high, 0)];
  return Math.max(...profile.pieces.flatMap((p) => (p.toZ > from && p.fromZ < to ? [p.curvature] : [])));
}
