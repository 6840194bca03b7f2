import { type FacetPlane, radians as rad, sloping, through } from './facet-plane.ts';
import type { Vec } from './vec.ts';

/** Proportions of a round brilliant. Shares are of the diameter unless said otherwise; angles in radians. */
export interface BrilliantProportions {
  /** table from corner to corner */
  table: number;
  crownAngle: number;
  pavilionAngle: number;
  /** girdle thickness where it is thickest, under the bezel facets */
  girdle: number;
  /** length of a star facet as a share of the way from the table's edge to the girdle */
  star: number;
  /** length of a lower half facet as a share of the way from the girdle to the culet */
  lowerHalf: number;
}

/**
 * Middle of the top grade of laboratory proportion charts (table 52–62 %, crown 31.5–36.5°, pavilion
 * 40.6–41.8°); star, lower half and girdle as those charts assume them. Source: diamondcut.gia.edu pavilion
 * chart; benaderette-diamond.com/observe-diamond-en.
 */
export const FINE_BRILLIANT: BrilliantProportions = {
  table: 0.57,
  crownAngle: rad(34.5),
  pavilionAngle: rad(40.75),
  girdle: 0.03,
  star: 0.55,
  lowerHalf: 0.8,
};

/** Crown height, pavilion depth and half the girdle of a brilliant of the given diameter, mm. */
export function brilliantHeights(diameterMm: number, cut = FINE_BRILLIANT) {
  const radius = diameterMm / 2;
  return {
    crown: radius * (1 - cut.table) * Math.tan(cut.crownAngle),
    pavilion: radius * Math.tan(cut.pavilionAngle),
    halfGirdle: (cut.girdle * diameterMm) / 2,
  };
}

/**
 * The 57 facets of a round brilliant (table, 8 stars, 8 bezels, 16 upper halves, 16 lower halves, 8 mains) and
 * 32 girdle planes. Each plane is solved from the points where facets meet in the finished stone: table corners
 * on the bezels, star tips on the bezels' common edges, half facets through those tips and the girdle.
 * Local frame: girdle plane at z = 0, table towards +z, a bezel towards +x. The girdle's 32 corners lie on the
 * diameter's circle.
 */
export function roundBrilliant(diameterMm: number, cut = FINE_BRILLIANT): FacetPlane[] {
  const radius = diameterMm / 2;
  const { crown, pavilion, halfGirdle } = brilliantHeights(diameterMm, cut);
  const apex = Math.PI / 8;
  const at = (rho: number, azimuth: number, z: number): Vec => [
    rho * Math.cos(azimuth),
    rho * Math.sin(azimuth),
    z,
  ];
  // on the common edge of two bezels or two mains, 22.5° from both
  const bezelEdgeZ = (rho: number) => halfGirdle + (radius - rho * Math.cos(apex)) * Math.tan(cut.crownAngle);
  const mainEdgeZ = (rho: number) =>
    -halfGirdle - (radius - rho * Math.cos(apex)) * Math.tan(cut.pavilionAngle);

  const tableRho = cut.table * radius;
  const tableEdge = tableRho * Math.cos(apex);
  const starRho = tableEdge + cut.star * (radius - tableEdge);
  const lowerRho = (1 - cut.lowerHalf) * radius;
  const top = halfGirdle + crown;

  const planes: FacetPlane[] = [{ facet: 'table', n: [0, 0, 1], d: top }];
  for (let k = 0; k < 8; k++) {
    const middle = (k * Math.PI) / 4;
    const right = middle + apex;
    const next = middle + 2 * apex;
    planes.push(
      { facet: 'bezel', ...sloping(middle, cut.crownAngle, at(radius, middle, halfGirdle)) },
      { facet: 'main', ...sloping(middle, cut.pavilionAngle - Math.PI, at(0, 0, -halfGirdle - pavilion)) },
      {
        facet: 'star',
        ...through(
          at(tableRho, middle, top),
          at(tableRho, next, top),
          at(starRho, right, bezelEdgeZ(starRho)),
        ),
      },
    );
    for (const side of [middle, next]) {
      const upperTip = at(starRho, right, bezelEdgeZ(starRho));
      const lowerTip = at(lowerRho, right, mainEdgeZ(lowerRho));
      planes.push(
        {
          facet: 'upper-half',
          ...through(upperTip, at(radius, side, halfGirdle), at(radius, right, halfGirdle)),
        },
        {
          facet: 'lower-half',
          ...through(lowerTip, at(radius, side, -halfGirdle), at(radius, right, -halfGirdle)),
        },
      );
    }
  }
  return [...planes, ...girdlePlanes(radius)];
}

function girdlePlanes(radius: number): FacetPlane[] {
  return Array.from({ length: 32 }, (_, k) => {
    const azimuth = ((k + 0.5) * Math.PI) / 16;
    return {
      facet: 'girdle',
      n: [Math.cos(azimuth), Math.sin(azimuth), 0],
      d: radius * Math.cos(Math.PI / 32),
    };
  });
}
