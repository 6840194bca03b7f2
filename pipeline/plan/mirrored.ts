import { pointsAcross } from '../trade/cuts.ts';
import { mirroredGap } from './gap-schema.ts';
import { fromFarEdge, type WidthMeasure } from './measure.ts';
import type { OutlineFields } from './outline-schema.ts';
import { rowStone } from './row-template.ts';
import { fittedSeam, mirroredSeam, type PartnerTurn, turnedSeam } from './seam-kinds.ts';
import type { Template } from './template-schema.ts';

/** How a partner's design follows the other band's. */
export interface PartnerRelation {
  /** first edge and far edge change places */
  mirror: boolean;
  /** seams turned about the finger, each by half of its own wave or by an angle (radians) at the top */
  turn: PartnerTurn;
  /** the partner's circumference over the other band's, to fit whole waves of about the same length; 1 keeps counts */
  longer: number;
}

type Seam = Template['seams'][string];
type Engraving = NonNullable<Template['engraving']>;

/**
 * The partner's template: parameters are mirrored, never a mesh, so that marks, stones and whatever has a hand of its
 * own are made anew for it. Lanes and seams keep their names and come in reverse order; waves stay whole in number
 * and begin at the top, where the bands of a pair are held against each other.
 */
export function followingTemplate(template: Template, following: PartnerRelation): Template {
  const seams = Object.entries(template.seams).map(([name, seam], i): [string, Seam] => {
    const turned = turnedSeam(seam, following.turn);
    const fitted = fittedSeam(turned, following.longer);
    return [name, following.mirror ? mirroredSeam(withBeadLane(fitted, i, template)) : fitted];
  });
  const outline = template.outline && { outline: followingOutline(template.outline, following) };
  if (!following.mirror) return { ...template, ...outline, seams: Object.fromEntries(seams) };
  return {
    ...template,
    ...outline,
    section: mirroredSection(template.section),
    lanes: Object.fromEntries(Object.entries(template.lanes).reverse()),
    seams: Object.fromEntries(seams.reverse()),
    rows: Object.fromEntries(Object.entries(template.rows).map(([name, row]) => [name, mirroredRow(row)])),
    gaps: Object.fromEntries(Object.entries(template.gaps).map(([name, gap]) => [name, mirroredGap(gap)])),
    ...(template.engraving && { engraving: mirroredLetters(template.engraving) }),
  };
}

/** The partner's outline: turned, fitted and mirrored as its seams are. */
function followingOutline(outline: OutlineFields, following: PartnerRelation): OutlineFields {
  const { middle, around, width } = outline;
  const follow = <Run extends NonNullable<typeof middle>>(run: Run) =>
    fittedSeam(turnedSeam(run, following.turn), following.longer);
  return {
    ...outline,
    ...(middle && { middle: following.mirror ? mirroredSeam(follow(middle)) : follow(middle) }),
    ...(around && { around: following.mirror ? { ...around, edge: OTHER_EDGE[around.edge] } : around }),
    ...(width && { width: follow(width) }),
  };
}

/** What lies on one side of its lane's middle lies on the other: an offset row, the first of staggered lines. */
function mirroredRow(row: Template['rows'][string]): Template['rows'][string] {
  const { stagger, offset, side } = row;
  const other = OTHER_FACE[side];
  // an offset in a side face is measured outwards
  if (other) return { ...row, side: other };
  const end = pointsAcross(rowStone(row)) ? { 'narrow-end': OTHER_END[row['narrow-end']] } : {};
  return {
    ...row,
    ...end,
    offset: -offset,
    ...(stagger && { stagger: { ...stagger, apart: -stagger.apart } }),
  };
}

const OTHER_END = { outwards: 'inwards', inwards: 'outwards' } as const;

const OTHER_FACE: Partial<Record<Template['rows'][string]['side'], Template['rows'][string]['side']>> = {
  'first-edge': 'second-edge',
  'second-edge': 'first-edge',
  'both-edges': 'both-edges',
};

/**
 * Letters move to the mirrored place and are never mirror-written. Where the design names the edge they stand towards,
 * that edge has changed places too; where it does not, they stand as letters usually do.
 */
function mirroredLetters({ inside, outside }: Engraving): Engraving {
  const moved = <T extends { across?: WidthMeasure; heads?: keyof typeof OTHER_EDGE }>(
    letters: T | 'none',
  ): T | 'none' =>
    letters === 'none'
      ? letters
      : {
          ...letters,
          ...(letters.across && { across: fromFarEdge(letters.across) }),
          ...(letters.heads && { heads: OTHER_EDGE[letters.heads] }),
        };
  return { ...(inside && { inside: moved(inside) }), ...(outside && { outside: moved(outside) }) };
}

/** Beads that name no lane lie on the higher one, or on the first of two alike: on the same one when mirrored. */
function withBeadLane(seam: Seam, index: number, { lanes }: Template): Seam {
  const { milgrain } = seam;
  if (!milgrain || milgrain === 'none' || milgrain.lane !== undefined) return seam;
  const [[low, a], [high, b]] = Object.entries(lanes).slice(index, index + 2);
  return { ...seam, milgrain: { ...milgrain, lane: b.recess < a.recess ? high : low } };
}

/** Everything of a section that tells the first edge from the second; angles, drops and radii serve both. */
function mirroredSection(section: Template['section']): Template['section'] {
  const { dome, crest, edge, step } = section;
  return {
    ...section,
    ...(dome !== undefined && { dome: otherWay(dome) }),
    ...(crest && { crest: fromFarEdge(crest) }),
    edge: otherWay(edge),
    ...(step && { step: { ...step, edges: OTHER_EDGE[step.edges as keyof typeof OTHER_EDGE] } }),
  };
}

const OTHER_EDGE = { both: 'both', first: 'second', second: 'first' } as const;

function otherWay(value: number | [number, number]): number | [number, number] {
  return typeof value === 'number' ? value : [value[1], value[0]];
}
