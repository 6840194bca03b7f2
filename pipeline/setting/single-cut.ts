import { type FacetPlane, radians, sloping } from './facet-plane.ts';
import type { Vec } from './vec.ts';

/** Proportions of a single cut; shares of the diameter, angles in radians. */
export interface SingleCutProportions {
  /** table from corner to corner */
  table: number;
  crownAngle: number;
  pavilionAngle: number;
  /** girdle thickness at the middle of the facets, where it is thinnest */
  girdle: number;
}

/** Usual for melee: 60 % table, 34° crown, 41° pavilion, 3 % girdle (common practice). */
export const FINE_SINGLE_CUT: SingleCutProportions = {
  table: 0.6,
  crownAngle: radians(34),
  pavilionAngle: radians(41),
  girdle: 0.03,
};

const SIDE = Math.cos(Math.PI / 8);

/** Heights of a single cut, mm: its facets dip into the round girdle, which is thickest where two of them meet. */
export function singleCutHeights(diameterMm: number, cut = FINE_SINGLE_CUT) {
  const radius = diameterMm / 2;
  const halfGirdle = (cut.girdle * diameterMm) / 2;
  return {
    halfGirdle,
    table: halfGirdle + radius * (1 - cut.table * SIDE) * Math.tan(cut.crownAngle),
    culet: halfGirdle + radius * Math.tan(cut.pavilionAngle),
    /** depth of the girdle's lower edge where two pavilion facets meet */
    girdleFoot: halfGirdle + radius * (1 - SIDE) * Math.tan(cut.pavilionAngle),
    /** tan of the edges between pavilion facets: the cone of revolution that holds them all */
    edgeSlope: SIDE * Math.tan(cut.pavilionAngle),
  };
}

/**
 * The 17 facets of a single cut (8/8: table, 8 crown, 8 pavilion) and 32 girdle planes. Each crown facet borders one
 * side of an octagonal table; the pavilion facets meet in the culet. Local frame as for the round brilliant.
 */
export function singleCut(diameterMm: number, cut = FINE_SINGLE_CUT): FacetPlane[] {
  const radius = diameterMm / 2;
  const { halfGirdle, table } = singleCutHeights(diameterMm, cut);
  const planes: FacetPlane[] = [{ facet: 'table', n: [0, 0, 1], d: table }];
  for (let k = 0; k < 8; k++) {
    const azimuth = (k * Math.PI) / 4;
    const at = (z: number): Vec => [radius * Math.cos(azimuth), radius * Math.sin(azimuth), z];
    planes.push(
      { facet: 'bezel', ...sloping(azimuth, cut.crownAngle, at(halfGirdle)) },
      { facet: 'main', ...sloping(azimuth, cut.pavilionAngle - Math.PI, at(-halfGirdle)) },
    );
  }
  for (let k = 0; k < 32; k++) {
    const azimuth = ((k + 0.5) * Math.PI) / 16;
    const n: Vec = [Math.cos(azimuth), Math.sin(azimuth), 0];
    planes.push({ facet: 'girdle', n, d: radius * Math.cos(Math.PI / 32) });
  }
  return planes;
}
