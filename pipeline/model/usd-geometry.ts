/**
 * A shape's meshes as text of a USD layer, without any colour: all colourways of the shape share it.
 *
 * Points are whole steps of one grid, the GLB's own, and a transform brings them to metres: short to write, and both
 * models hold the same band. Stones of a row are one mesh: readers that know no references within a layer exist.
 */

import { MeshoptEncoder } from 'meshoptimizer';
import { gunzipSync, gzipSync, strFromU8, strToU8 } from 'three/addons/libs/fflate.module.js';
import type { BuiltShape, StoneRow, TriMesh } from '../band/built-shape.ts';
import { type CompactMesh, compactMesh, type Grid, gridAround } from './compact-mesh.ts';
import { outsideAndBore } from './lane-parts.ts';
import { leanTogether } from './lean-mesh.ts';
import { lowestPoint } from './lowest-point.ts';
import { plainName } from './names.ts';
import { lightPathMm } from './stone-path.ts';

/** Path of the prim that holds the materials; meshes name them by the part that wears them. */
export const LOOKS = '/band/looks';

/** What the meshes wear, by place in the shape. */
export interface UsdGeometry {
  lanes: number;
  rows: { slot: number; pathMm: number }[];
  triangles: number;
  /** prims within the layer's root prim */
  prims: string;
}

export const laneLook = (lane: number, bore: boolean) => `${bore ? 'bore' : 'lane'}_${lane + 1}`;
export const rowLook = (row: number) => `row_${row + 1}`;

const METRES_PER_MM = 0.001;

/** Lanes are thinned whatever their number of triangles: text takes five times the room of a GLB. */
export async function usdGeometry(shape: BuiltShape): Promise<UsdGeometry> {
  await MeshoptEncoder.ready;
  const grid = gridAround(shape.lanes.map((lane) => lane.mesh));
  const prims: string[] = [];
  let triangles = 0;
  const add = (name: string, mesh: CompactMesh, look: string) => {
    triangles += mesh.indices.length / 3;
    prims.push(meshPrim(name, mesh, look));
  };
  const lean = await leanTogether(shape.lanes.map(({ mesh }) => mesh));
  for (const [index, { name }] of shape.lanes.entries())
    for (const { part, bore } of outsideAndBore(lean[index]))
      add(
        usdName(`${bore ? 'bore' : 'lane'}_${index + 1}_${name}`),
        compactMesh(part, grid),
        laneLook(index, bore),
      );
  for (const [index, row] of shape.rows.entries())
    add(usdName(`stones_${index + 1}_${row.name}`), onGrid(placedStones(row), grid), rowLook(index));
  return {
    lanes: shape.lanes.length,
    rows: shape.rows.map(({ slot, stone }) => ({ slot, pathMm: lightPathMm(stone) })),
    triangles,
    prims: `    def Xform "parts"\n    {\n${transform(shape, grid)}\n${prims.join('\n')}\n    }`,
  };
}

/** Packed for keeping. */
export function encodeUsdGeometry(geometry: UsdGeometry): Uint8Array {
  return gzipSync(strToU8(JSON.stringify(geometry)), { level: 6, mtime: new Date(1980, 0, 1) });
}

export function decodeUsdGeometry(bytes: Uint8Array): UsdGeometry {
  return JSON.parse(strFromU8(gunzipSync(bytes)));
}

/** From steps of the grid to metres; the lowest point comes to y = 0. */
function transform(shape: BuiltShape, { centre, halfMm }: Grid): string {
  const [x, y, z] = [centre[0], centre[1] - lowestPoint(shape), centre[2]].map((v) =>
    Number((v * METRES_PER_MM).toPrecision(9)),
  );
  const step = (halfMm / 32767) * METRES_PER_MM;
  return [
    `        double3 xformOp:translate = (${x}, ${y}, ${z})`,
    `        float3 xformOp:scale = (${step}, ${step}, ${step})`,
    '        uniform token[] xformOpOrder = ["xformOp:translate", "xformOp:scale"]',
  ].join('\n');
}

function meshPrim(name: string, { positions, normals, indices }: CompactMesh, look: string): string {
  const points = triples(positions, String);
  const directions = triples(normals, (v) => String(Number((v / 32767).toFixed(4))));
  const [low, high] = extent(positions);
  return `        def Mesh "${name}" (
            prepend apiSchemas = ["MaterialBindingAPI"]
        )
        {
            float3[] extent = [(${low.join(', ')}), (${high.join(', ')})]
            int[] faceVertexCounts = [${new Array(indices.length / 3).fill(3).join(',')}]
            int[] faceVertexIndices = [${indices.join(',')}]
            point3f[] points = [${points}]
            normal3f[] normals = [${directions}] (
                interpolation = "vertex"
            )
            rel material:binding = <${LOOKS}/${look}>
            uniform token subdivisionScheme = "none"
        }`;
}

function triples(values: ArrayLike<number>, write: (v: number) => string): string {
  const out: string[] = [];
  for (let i = 0; i < values.length; i += 3)
    out.push(`(${write(values[i])},${write(values[i + 1])},${write(values[i + 2])})`);
  return out.join(',');
}

function extent(positions: ArrayLike<number>): [number[], number[]] {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < positions.length; i++) {
    low[i % 3] = Math.min(low[i % 3], positions[i]);
    high[i % 3] = Math.max(high[i % 3], positions[i]);
  }
  return [low, high];
}

/** All stones of a row where they stand, mm. */
function placedStones({ stone, placements, count }: StoneRow): TriMesh {
  const { positions, normals, indices } = stone.mesh;
  const length = positions.length;
  const all = {
    positions: new Float32Array(count * length),
    normals: new Float32Array(count * length),
    indices: new Uint32Array(count * indices.length),
  };
  for (let s = 0; s < count; s++) {
    const m = placements.subarray(12 * s, 12 * s + 12);
    for (let i = 0; i < length; i += 3)
      for (let k = 0; k < 3; k++) {
        const turned = (v: Float32Array) =>
          m[4 * k] * v[i] + m[4 * k + 1] * v[i + 1] + m[4 * k + 2] * v[i + 2];
        all.positions[s * length + i + k] = turned(positions) + m[4 * k + 3];
        all.normals[s * length + i + k] = turned(normals);
      }
    for (let i = 0; i < indices.length; i++)
      all.indices[s * indices.length + i] = indices[i] + (s * length) / 3;
  }
  return all;
}

/** Stones stand proud of the metal, so their steps may lie beyond 16 bits; text does not mind. */
function onGrid(mesh: TriMesh, { centre, halfMm }: Grid): CompactMesh {
  const step = (v: number, i: number) => Math.round(((v - centre[i % 3]) / halfMm) * 32767);
  return {
    positions: Int32Array.from(mesh.positions, step),
    normals: Int16Array.from(mesh.normals, (v) => Math.round(v * 32767)),
    indices: mesh.indices,
  };
}

/** Names of prims: letters, digits and underscores. */
function usdName(text: string): string {
  return plainName(text).replaceAll('-', '_');
}
