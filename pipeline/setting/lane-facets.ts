import type { Manifold } from 'manifold-3d';
import { facetCuts } from '../band/facets.ts';
import type { Lane } from '../band/lane.ts';
import { midRadius } from '../band/profile.ts';
import type { FacetDesign } from '../plan/design.ts';
import { facetMesh, intersectHalfSpaces } from './convex-solid.ts';
import type { NativeSolids } from './solid-kernel.ts';

/** What the body of facets reaches beyond the band's faces, mm. */
const BEYOND_MM = 1;

/**
 * A lane as its facets leave it: what lies inside all their planes. The body between the planes is a convex solid
 * with a normal per facet, so edges between facets, and between a facet and the land beside it, are sharp.
 */
export function cutFacets(
  solids: NativeSolids,
  solid: Manifold,
  lane: Lane,
  facets: FacetDesign,
  widthMm: number,
): Manifold {
  const half = widthMm / 2 + BEYOND_MM;
  const planes = [
    ...facetCuts(lane, facets).map(({ n, d }) => ({ n, d })),
    { n: [0, 0, 1] as [number, number, number], d: half },
    { n: [0, 0, -1] as [number, number, number], d: half },
  ];
  const size = 2 * (midRadius(lane.outer) + widthMm);
  const body = solids.fromMesh(facetMesh(intersectHalfSpaces(planes, size), planes));
  return solids.intersect(solid, body);
}
