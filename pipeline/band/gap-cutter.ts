import type { ShapeDesign } from '../plan/design.ts';
import type { GapDesign } from '../plan/gap-design.ts';
import type { TriMesh } from './built-shape.ts';
import { type GapPoint, gapOutline, gapRadius, gapRing } from './gap-outline.ts';
import type { Lane } from './lane.ts';
import { edgeCurve } from './outline.ts';
import { type ProfileSurface, radiusAt } from './profile.ts';
import { meshVolume, type WeldedMesh } from './welded-mesh.ts';

/** Steps of a rim's rounding. */
const RIM_STEPS = 6;
/** Roundings begin at this angle, lest the cut only touch the surface there. */
const FIRST_RAD = 0.14;
/** Reach of the cutter out of the metal, mm. */
const PROUD_MM = 0.4;

/** A ring of the cutter: the outline moved into the metal, at a depth below the outside or a height over the bore. */
interface Level {
  aside: number;
  from: 'outside' | 'bore';
  mm: number;
}

function levelsOf(soften: number, softBore: number): Level[] {
  const rim = (radius: number, from: Level['from']): Level[] =>
    Array.from({ length: RIM_STEPS + 1 }, (_, i) => {
      const angle = FIRST_RAD + ((Math.PI / 2 - FIRST_RAD) * i) / RIM_STEPS;
      return { aside: radius * (1 - Math.sin(angle)), from, mm: radius * (1 - Math.cos(angle)) };
    });
  const under: Level[] = softBore > 0 ? rim(softBore, 'bore').reverse() : [{ aside: 0, from: 'bore', mm: 0 }];
  return [...rim(soften, 'outside'), ...under];
}

/** Unit normals of a ring of points, out of the gap. */
function normalsOf(ring: readonly GapPoint[], closed: boolean): GapPoint[] {
  const n = ring.length;
  const area = ring.reduce((sum, [x, z], i) => {
    const [u, v] = ring[(i + 1) % n];
    return sum + x * v - u * z;
  }, 0);
  const half = n / 2;
  // the sides of an open outline end beyond the edges: there they know no neighbour across the gap
  const next = (i: number) => (closed || (i + 1) % half !== 0 ? (i + 1) % n : i);
  const before = (i: number) => (closed || i % half !== 0 ? (i + n - 1) % n : i);
  return ring.map((_, i) => {
    const [a, b] = [ring[before(i)], ring[next(i)]];
    const size = Math.hypot(b[0] - a[0], b[1] - a[1]) * Math.sign(area);
    return [(b[1] - a[1]) / size, (a[0] - b[0]) / size];
  });
}

/**
 * What a gap takes out of one lane: its outline from above the outside to below the bore, walls radial, rims rounded
 * along that lane's own surfaces. A closed tube of rings with a cap over either end.
 */
export function gapCutter(design: ShapeDesign, gap: GapDesign, lane: Lane): WeldedMesh {
  const outline = gapOutline(design, gap);
  const ring = gapRing(outline);
  const normals = normalsOf(ring, outline.closed);
  const radius = gapRadius(design);
  const [low, high] = [edgeCurve(design, -1), edgeCurve(design, 1)];
  const levels = levelsOf(gap.softenMm, lane.inlaid ? 0 : gap.softenMm);
  const placed = levels.map(({ aside, from, mm }) =>
    ring.map(([x, z], i) => {
      const theta = gap.atRad + (x + aside * normals[i][0]) / radius;
      const across = z + aside * normals[i][1];
      // no surface reaches beyond the band
      const within = Math.min(high.z(theta), Math.max(low.z(theta), across));
      const surface: ProfileSurface = from === 'outside' ? lane.outer : lane.bore;
      const r = radiusAt(surface(theta), within) + (from === 'outside' ? -mm : mm);
      return { theta, z: across, r };
    }),
  );
  const top = Math.max(...placed[0].map(({ r }) => r)) + PROUD_MM;
  const bottom = Math.min(...placed.at(-1)!.map(({ r }) => r)) - PROUD_MM;
  // caps are flat from side to side, and must not sink into the metal
  const lidded = top / Math.cos(Math.min(1.4, widestStep(placed[0]) / 2));
  const rings = [
    placed[0].map((p) => ({ ...p, r: lidded })),
    ...placed,
    placed.at(-1)!.map((p) => ({ ...p, r: bottom })),
  ];
  return tube(
    rings.map((all) => all.map(({ theta, z, r }) => [r * Math.sin(theta), r * Math.cos(theta), z])),
  );
}

/** Widest angle that a quad of a cap spans. */
function widestStep(ring: readonly { theta: number }[]): number {
  const n = ring.length / 2;
  return Math.max(
    ...Array.from({ length: n - 1 }, (_, i) => {
      const all = [ring[i], ring[i + 1], ring[2 * n - 1 - i], ring[2 * n - 2 - i]].map(({ theta }) => theta);
      return Math.max(...all) - Math.min(...all);
    }),
  );
}

type Triple = number[];

/** A closed mesh of rings from the top down, capped by quads between their two sides; walls are smooth, caps flat. */
function tube(rings: Triple[][]): WeldedMesh {
  const n = rings[0].length;
  const indices: number[] = [];
  const quad = (a: number, b: number, c: number, d: number) => indices.push(a, b, c, a, c, d);
  for (let k = 0; k + 1 < rings.length; k++) {
    for (let i = 0; i < n; i++) {
      const next = (i + 1) % n;
      quad(k * n + i, k * n + next, (k + 1) * n + next, (k + 1) * n + i);
    }
  }
  const last = rings.length * n;
  for (let i = 0; i + 1 < n / 2; i++) {
    const across = n - 1 - i;
    quad(last + i, last + across, last + across - 1, last + i + 1);
    quad(last + n + i, last + n + i + 1, last + n + across - 1, last + n + across);
  }
  const points = [...rings.flat(), ...rings[0], ...rings.at(-1)!];
  const positions = Float32Array.from(points.flat());
  const mesh = { positions, normals: new Float32Array(positions.length), indices: Uint32Array.from(indices) };
  if (meshVolume(mesh) < 0) mesh.indices.reverse();
  addNormals(mesh);
  const doubled = [...rings[0].keys()];
  return {
    ...mesh,
    mergeFrom: Uint32Array.from([...doubled.map((i) => last + i), ...doubled.map((i) => last + n + i)]),
    mergeTo: Uint32Array.from([...doubled, ...doubled.map((i) => (rings.length - 1) * n + i)]),
  };
}

/** Normals of vertices from the triangles that meet in them, by area. */
function addNormals({ positions: p, normals, indices }: TriMesh): void {
  for (let t = 0; t < indices.length; t += 3) {
    const [a, b, c] = [3 * indices[t], 3 * indices[t + 1], 3 * indices[t + 2]];
    const u = [0, 1, 2].map((k) => p[b + k] - p[a + k]);
    const v = [0, 1, 2].map((k) => p[c + k] - p[a + k]);
    const w = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
    for (const at of [a, b, c]) for (let k = 0; k < 3; k++) normals[at + k] += w[k];
  }
  for (let i = 0; i < normals.length; i += 3) {
    const size = Math.hypot(normals[i], normals[i + 1], normals[i + 2]) || 1;
    for (let k = 0; k < 3; k++) normals[i + k] /= size;
  }
}
