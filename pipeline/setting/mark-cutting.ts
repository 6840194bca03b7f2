import type { Manifold } from 'manifold-3d';
import type { Lane } from '../band/lane.ts';
import { cutOf, type Engraving, onSurface } from './engraving.ts';
import { type Groove, grooveMesh } from './groove.ts';
import { letterCutter } from './letter-cutter.ts';
import type { Marks } from './marks.ts';
import { beadMesh } from './milgrain.ts';
import type { NativeSolids } from './solid-kernel.ts';

/** Cutters of letters reach this far out of the metal, and have no longer edges, mm. */
const PROUD_MM = 0.1;
const LONGEST_EDGE_MM = 0.2;

/** Whether any mark touches a lane. */
export function marksOn({ grooves, milgrains, engravings }: Marks, lane: Lane): boolean {
  return (
    grooves.some((groove) => crosses(groove, lane)) ||
    milgrains.some((m) => m.lane.index === lane.index) ||
    engravings.some((e) => reaches(e, lane))
  );
}

function crosses({ lanes }: Groove, lane: Lane): boolean {
  return lanes.some(({ index }) => index === lane.index);
}

/** Letters in the bore are cut into every lane that goes through to it. */
function reaches(e: Engraving, lane: Lane): boolean {
  return e.side === 'inside' ? !lane.inlaid : e.lane?.index === lane.index;
}

/** A lane as it stands so far. */
export interface UnmarkedLane {
  lane: Lane;
  solid: Manifold;
}

/**
 * Cuts lanes' grooves and letters and fuses their beads on, in that order. A cutter is made once for all the lanes that
 * it reaches: the letters of a bore take as long to make as to cut.
 */
export function cutMarks(
  solids: NativeSolids,
  unmarked: readonly UnmarkedLane[],
  { grooves, engravings, milgrains }: Marks,
  chordMm: number,
): Manifold[] {
  const cutters = [
    ...cuttersOf(unmarked, grooves, crosses, (groove) => solids.fromMesh(grooveMesh(groove, chordMm))),
    ...cuttersOf(unmarked, engravings, reaches, (e) => lettersSolid(solids, e)),
  ];
  return unmarked.map(({ lane, solid }) => {
    const own = cutters.filter(({ lanes }) => lanes.includes(lane));
    const cut = solids.subtract(
      solid,
      own.map(({ cutter }) => cutter),
    );
    const beads = milgrains
      .filter((m) => m.lane.index === lane.index)
      .flatMap((m) => m.frames.map((frame) => solids.fromMesh(beadMesh(frame, m.design.beadMm, chordMm))));
    return beads.length === 0 ? cut : solids.unite([cut, ...beads]);
  });
}

/** Cutters of those marks that reach any of the lanes, with the lanes. */
function cuttersOf<Mark>(
  unmarked: readonly UnmarkedLane[],
  marks: readonly Mark[],
  reach: (mark: Mark, lane: Lane) => boolean,
  make: (mark: Mark) => Manifold,
): { lanes: Lane[]; cutter: Manifold }[] {
  return marks.flatMap((mark) => {
    const lanes = unmarked.flatMap(({ lane }) => (reach(mark, lane) ? [lane] : []));
    return lanes.length === 0 ? [] : [{ lanes, cutter: make(mark) }];
  });
}

function lettersSolid(solids: NativeSolids, { design, laid, letters }: Engraving): Manifold {
  const cut = { ...cutOf(design), proudMm: PROUD_MM };
  const cutters = letters.map((letter) => letterCutter(solids, letter, cut));
  return solids.laidOn(solids.unite(cutters), LONGEST_EDGE_MM, (s, t, h) =>
    onSurface(laid, [s, t], h - design.depthMm),
  );
}
