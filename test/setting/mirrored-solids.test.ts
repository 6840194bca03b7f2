import { BufferAttribute, BufferGeometry, Vector3 } from 'three';
import { MeshBVH } from 'three-mesh-bvh';
import { beforeAll, describe, expect, it } from 'vitest';
import type { BuiltShape, TriMesh } from '../../pipeline/band/built-shape.ts';
import { lanesOf } from '../../pipeline/band/lane.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { Variant } from '../../pipeline/plan/plan.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { planSeamMarks } from '../../pipeline/setting/seam-marks.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { config, planOf } from '../plan/workspace.ts';
import { expectSoundSet } from './sound-set.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

const CHORD = 0.015;
const LANES = 'sand: { alloy: yellow-18 }, water: { alloy: white-18 }';

/** The designs of a pair whose second band mirrors the first. */
async function pairOf(template: string): Promise<[ShapeDesign, ShapeDesign]> {
  const text = config({
    template: 'template: trial.yaml',
    grid: 'grid: { size: [ISO 52] }',
    pairs: 'pairs: [{ name: duo, partner: { mirror: true } }]',
    shots: 'shots: [pair]',
  });
  const { plan } = await planOf(text, { 'trial.yaml': `title: Trial\n${template}` });
  const [{ left, right }] = plan.pairs;
  const fine = ({ shape }: Pick<Variant, 'shape'>) => ({ ...plan.shapes[shape], chordToleranceMm: CHORD });
  return [fine(left), fine(right)];
}

const bothBuilt = (designs: ShapeDesign[]) => Promise.all(designs.map((d) => buildShape(d, kernel)));

/** Farthest that a vertex of one mesh, its z turned over, lies from the surface of another, mm. */
function astray({ positions: p }: TriMesh, other: TriMesh): number {
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(other.positions.slice(), 3));
  geometry.setIndex(new BufferAttribute(other.indices.slice(), 1));
  const tree = new MeshBVH(geometry, { indirect: true });
  let farthest = 0;
  const point = new Vector3();
  for (let i = 0; i < p.length; i += 3) {
    const found = tree.closestPointToPoint(point.set(p[i], p[i + 1], -p[i + 2]));
    farthest = Math.max(farthest, found?.distance ?? Number.POSITIVE_INFINITY);
  }
  return farthest;
}

/** Every lane of either band against its counterpart, which stands in the opposite place. */
function expectMirrored(left: BuiltShape, right: BuiltShape, genera: number[]): void {
  const counterparts = right.lanes.slice().reverse();
  expect(counterparts.map(({ name }) => name)).toEqual(left.lanes.map(({ name }) => name));
  left.lanes.forEach(({ mesh, volumeMm3 }, i) => {
    const other = counterparts[i];
    // cuts are meshed anew for each band, so vertices agree with the other's surface to what chords may stray
    expect(astray(mesh, other.mesh)).toBeLessThan(CHORD);
    expect(astray(other.mesh, mesh)).toBeLessThan(CHORD);
    expect(Math.abs(other.volumeMm3 / volumeMm3 - 1)).toBeLessThan(1e-4);
  });
  genera.forEach((genus, i) => {
    expectSoundSet(kernel, left, i, genus);
    expectSoundSet(kernel, right, genera.length - 1 - i, genus);
  });
}

const body = (lanes: string, seams: string, more = '') =>
  `section: { name: flat, edge: [0.1 mm, 0.3 mm] }\nwidth: 5 mm\nthickness: 2 mm\nlanes: { ${lanes} }\nseams: { ${seams} }\n${more}`;

describe('the solids of a mirrored partner', () => {
  it.each([
    ['named', ', lane: sand'],
    ['unnamed, between lanes of one height', ''],
  ])('have their line of beads on the same lane, each bead opposite its own (lane %s)', async (_, lane) => {
    const seam = `shore: { kind: wave, at: 35 %, amplitude: 0.3 mm, waves: 4, phase: 25 deg, milgrain: { bead: 0.5 mm, pitch: 0.8 mm${lane} } }`;
    const designs = await pairOf(body(LANES, seam));
    const [a, b] = designs.map((design) => planSeamMarks(design, lanesOf(design)).milgrains[0]);
    expect(b.lane.name).toBe(a.lane.name);
    expect(b.frames.length).toBe(a.frames.length);
    a.frames.forEach(({ origin: [x, y, z], axis: [nx, ny, nz] }, k) => {
      const apart = (p: readonly number[], q: readonly number[]) => Math.hypot(...p.map((v, i) => v - q[i]));
      expect(apart([x, y, -z], b.frames[k].origin)).toBeLessThan(1e-9);
      expect(apart([nx, ny, -nz], b.frames[k].axis)).toBeLessThan(1e-9);
    });
    const [left, right] = await bothBuilt(designs);
    expectMirrored(left, right, [1, 1]);
  });

  it('have their staggered lines in opposite places, stone by stone, and seats under them', async () => {
    const rows =
      'rows: { run: { lane: water, diameter: 1.2 mm, coverage: third, setting: none, stagger: { apart: 1.1 mm } } }';
    const designs = await pairOf(body(LANES, 'shore: { kind: straight, at: 25 % }', rows));
    const [left, right] = await bothBuilt(designs);
    const places = ({ rows: [row] }: BuiltShape) =>
      Array.from({ length: row.count }, (_, i) => [...row.placements.slice(12 * i, 12 * i + 12)]);
    const [a, b] = [places(left), places(right)];
    expect(b.length).toBe(a.length);
    // columns of x, y, axis and origin; the last of each three is along z
    const z = (place: number[], column: number) => place[8 + column];
    a.forEach((place, i) => {
      for (const column of [2, 3]) {
        expect(b[i][column]).toBeCloseTo(place[column], 9);
        expect(b[i][4 + column]).toBeCloseTo(place[4 + column], 9);
        expect(z(b[i], column)).toBeCloseTo(-z(place, column), 9);
      }
    });
    // the two lines lie on both sides of the lane's middle: not one line mirrored into itself
    const across = a.map((place) => z(place, 3));
    expect(Math.max(...across) - Math.min(...across)).toBeCloseTo(1.1, 6);
    expectMirrored(left, right, [1, 1 + a.length]);
  });
});

describe('letters of a mirrored partner', () => {
  /** Points on the floor of the letters, from the middle of their line: along the band and across it, mm. */
  function floorOf(
    shape: BuiltShape,
    lane: number,
    radius: number,
    at: number,
    centre: number,
  ): [number, number][] {
    const p = shape.lanes[lane].mesh.positions;
    const found: [number, number][] = [];
    for (let i = 0; i < p.length; i += 3) {
      if (Math.abs(Math.hypot(p[i], p[i + 1]) - radius) > 1e-3) continue;
      const across = p[i + 2] - centre;
      // what is as deep beside the letters are the band's rounded edges
      if (Math.abs(across) < 0.9) found.push([radius * (Math.atan2(p[i], p[i + 1]) - at), across]);
    }
    return found;
  }
  const farthest = (a: [number, number][], b: [number, number][]) =>
    Math.max(...a.map(([s, t]) => Math.min(...b.map(([u, v]) => Math.hypot(s - u, t - v)))));

  it.each([
    ['inside', 'second', -1],
    ['inside', 'first', -1],
    ['outside', 'second', -1],
    ['outside', undefined, 1],
    ['inside', undefined, 1],
  ] as const)(
    '%s, heads towards %s: stand in the mirrored place and can be read, turned by half a turn or as they were',
    async (side, heads, way) => {
      // no letter of this is like its own mirror image or half turn
      const letters = `text: FG, at: 20 deg, height: 1.2 mm, depth: 0.2 mm${heads ? `, heads: ${heads}` : ''}`;
      const place = side === 'inside' ? 'across: 2.1 mm' : 'lane: water';
      const designs = await pairOf(
        body(
          LANES,
          'shore: { kind: straight, at: 30 % }',
          `engraving: { ${side}: { ${letters}, ${place} } }`,
        ),
      );
      const [left, right] = await bothBuilt(designs);
      const bore = designs[0].circumferenceMm / (2 * Math.PI);
      const radius = side === 'inside' ? bore + 0.2 : bore + 2 - 0.2;
      const at = (20 * Math.PI) / 180;
      // in the bore 2.1 mm from one edge of 5 mm; outside the middle of a lane from 30 % to the far edge
      const centre = side === 'inside' ? 2.1 - 2.5 : (-2.5 + 0.3 * 5 + 2.5) / 2;
      const [a, b] = [floorOf(left, 1, radius, at, centre), floorOf(right, 0, radius, at, -centre)];
      expect(a.length).toBeGreaterThan(40);
      const turned = a.map(([s, t]): [number, number] => [way * s, way * t]);
      expect(farthest(turned, b)).toBeLessThan(0.05);
      expect(farthest(b, turned)).toBeLessThan(0.05);
      // a mirror image would have every point on the other side: that they are not
      expect(
        farthest(
          a.map(([s, t]) => [s, -t]),
          b,
        ),
      ).toBeGreaterThan(0.15);
      for (const shape of [left, right]) for (const lane of [0, 1]) expectSoundSet(kernel, shape, lane, 1);
    },
  );
});
