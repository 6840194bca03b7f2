import type { Manifold } from 'manifold-3d';
import type { Lane } from '../band/lane.ts';
import { cutOf, type Engraving, onSurface } from './engraving.ts';
import { grooveMesh } from './groove.ts';
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
    grooves.some(({ lanes }) => lanes.some(({ index }) => index === lane.index)) ||
    milgrains.some((m) => m.lane.index === lane.index) ||
    engravings.some((e) => reaches(e, lane))
  );
}

/** Letters in the bore are cut into every lane that goes through to it. */
function reaches(e: Engraving, lane: Lane): boolean {
  return e.side === 'inside' ? !lane.inlaid : e.lane?.index === lane.index;
}

/** Cuts a lane's grooves and letters and fuses its beads on, in that order. */
export function cutMarks(
  solids: NativeSolids,
  solid: Manifold,
  lane: Lane,
  marks: Marks,
  chordMm: number,
): Manifold {
  const grooves = marks.grooves
    .filter(({ lanes }) => lanes.some(({ index }) => index === lane.index))
    .map((groove) => solids.fromMesh(grooveMesh(groove, chordMm)));
  const letters = marks.engravings.filter((e) => reaches(e, lane)).map((e) => lettersSolid(solids, e));
  const cut = solids.subtract(solid, [...grooves, ...letters]);
  const beads = marks.milgrains
    .filter((m) => m.lane.index === lane.index)
    .flatMap((m) => m.frames.map((frame) => solids.fromMesh(beadMesh(frame, m.design.beadMm, chordMm))));
  return beads.length === 0 ? cut : solids.unite([cut, ...beads]);
}

function lettersSolid(solids: NativeSolids, { design, laid, letters }: Engraving): Manifold {
  const cut = { ...cutOf(design), proudMm: PROUD_MM };
  const cutters = letters.map((letter) => letterCutter(solids, letter, cut));
  return solids.laidOn(solids.unite(cutters), LONGEST_EDGE_MM, (s, t, h) =>
    onSurface(laid, [s, t], h - design.depthMm),
  );
}
