import { Matrix4, Vector3 } from 'three';
import type { BuiltShape, TriMesh } from '../band/built-shape.ts';
import type { LargestBand } from '../plan/plan.ts';
import { forEachVertex, type PlacedBand, placement } from './pose.ts';

/** Points whose projected bounds are those of the bands to a few µm: vertices are tens of µm apart on outlines. */
export function outline(bands: readonly PlacedBand[]): Vector3[] {
  const points: Vector3[] = [];
  let k = 0;
  for (const band of bands) {
    forEachVertex(band, (p) => {
      // every third is plenty
      if (k++ % 3 === 0) points.push(p.clone());
    });
  }
  return points;
}

/** Heights and directions in which a turning band's hull is sampled. */
const LEVELS = 48;
const TURNS = 48;

/** Bounds of everything a band passes through when it turns about the vertical: a hull of revolution. */
export function swept(bands: readonly PlacedBand[]): Vector3[] {
  let high = 0;
  for (const band of bands)
    forEachVertex(band, (p) => {
      high = Math.max(high, p.y);
    });
  const reach = new Float64Array(LEVELS + 1);
  for (const band of bands)
    forEachVertex(band, (p) => {
      const level = Math.round((p.y / high) * LEVELS);
      reach[level] = Math.max(reach[level], Math.hypot(p.x, p.z));
    });
  return [...reach].flatMap((r, level) =>
    Array.from({ length: TURNS }, (_, k) => {
      const a = (2 * Math.PI * k) / TURNS;
      return new Vector3(r * Math.cos(a), (level / LEVELS) * high, r * Math.sin(a));
    }),
  );
}

/** Stones a macro shows to either side of the topmost one, and what it shows of a band without such, radians. */
const NEIGHBOURS = 2.3;
const PLAIN_ARC = 0.3;

/** The top of a band from near by: a few stones of its densest row or, where none has a neighbour, its width and seams. */
export function closeUp(bands: readonly PlacedBand[]): Vector3[] {
  const [band] = bands;
  const centres = stoneCentres(band);
  if (centres.length === 0) return crown(band);
  const top = centres.reduce((a, b) => (b.at.y > a.at.y ? b : a));
  const reach = 2 * NEIGHBOURS * top.radius;
  const near = centres.filter((c) => c.at.distanceTo(top.at) < reach);
  if (near.length < 2) return crown(band);
  return near.flatMap(({ at, radius }) =>
    [-1, 1].flatMap((s) => [
      at.clone().add(new Vector3(s * radius, 0, 0)),
      at.clone().add(new Vector3(0, s * radius, 0)),
      at.clone().add(new Vector3(0, 0, s * radius)),
    ]),
  );
}

/** Vertices of the lanes within a small arc of the top. */
function crown(band: PlacedBand): Vector3[] {
  const points: Vector3[] = [];
  const p = new Vector3();
  for (const lane of band.shape.lanes) {
    const xyz = lane.mesh.positions;
    for (let i = 0; i < xyz.length; i += 3) {
      const outer =
        Math.hypot(xyz[i], xyz[i + 1]) > band.shape.innerDiameterMm / 2 + band.shape.thicknessMm / 2;
      if (outer && Math.abs(Math.atan2(xyz[i], xyz[i + 1])) < PLAIN_ARC)
        points.push(
          p
            .set(xyz[i], xyz[i + 1], xyz[i + 2])
            .clone()
            .applyMatrix4(band.toWorld),
        );
    }
  }
  return points;
}

/** Centres of a band's girdles in the world, with the stones' radii. */
export function stoneCentres(band: PlacedBand): { at: Vector3; radius: number }[] {
  const place = new Matrix4();
  return band.shape.rows.flatMap((row) =>
    Array.from({ length: row.count }, (_, k) => {
      place.multiplyMatrices(band.toWorld, placement(row.placements, k));
      return { at: new Vector3().setFromMatrixPosition(place), radius: row.stone.diameterMm / 2 };
    }),
  );
}

/** A plain ring with the largest band's measures, so that a view can be framed for it without building one. */
export function largestRing({ innerDiameterMm, thicknessMm, widthMm }: LargestBand): BuiltShape {
  const positions: number[] = [];
  const around = 96;
  for (let i = 0; i < around; i++) {
    const a = (2 * Math.PI * i) / around;
    for (const r of [innerDiameterMm / 2, innerDiameterMm / 2 + thicknessMm])
      for (const z of [-widthMm / 2, widthMm / 2]) positions.push(r * Math.sin(a), r * Math.cos(a), z);
  }
  const mesh: TriMesh = {
    positions: Float32Array.from(positions),
    normals: new Float32Array(positions.length),
    indices: new Uint32Array(0),
  };
  return {
    lanes: [{ name: 'ring', mesh, volumeMm3: 0 }],
    rows: [],
    fits: [],
    innerDiameterMm,
    circumferenceMm: Math.PI * innerDiameterMm,
    widthMm,
    thicknessMm,
    checks: [],
  };
}
