/**
 * One GLB per shape with all its colourways.
 *
 * Promise: true size in metres, Y up, the band stands on its edge with its lowest point at y = 0, finger axis
 * along Z, so the front (+Z) looks through the finger hole; x = 0 and z = 0 are the middle of the band. No
 * lights, no textures. Valid by the Khronos validator without errors or warnings.
 *
 * Stones of a row share one mesh and stand in plain nodes. Tried and dropped: EXT_mesh_gpu_instancing (one draw,
 * but a viewer without it shows a single stone in the middle of the finger hole, and the Khronos validator does
 * not know it); one merged mesh (a designer can no longer pick or count stones). A row of 40 costs 40 small
 * draws; 3D Commerce publishing targets allow 500.
 */
import { Document, NodeIO, type Primitive } from '@gltf-transform/core';
import {
  ALL_EXTENSIONS,
  EXTMeshoptCompression,
  KHRDracoMeshCompression,
  KHRMaterialsVariants,
  KHRMeshQuantization,
  type Variant,
} from '@gltf-transform/extensions';
import draco3d from 'draco3d';
import { MeshoptDecoder, MeshoptEncoder } from 'meshoptimizer';
import type { BuiltShape, StoneRow, TriMesh } from '../band/built-shape.ts';
import { type CompactMesh, compactMesh, type Grid, gridAround } from './compact-mesh.ts';
import { outsideAndBore } from './lane-parts.ts';
import { leanLanes } from './lean-mesh.ts';
import type { ColourwayLook } from './look.ts';
import { lowestPoint } from './lowest-point.ts';
import { createMaterials, type MaterialSet } from './materials.ts';
import { plainName, variantName } from './names.ts';
import { placementRotation } from './placement.ts';
import { lightPathMm, shareThrough } from './stone-path.ts';

/** What decides a model's bytes besides its inputs; part of content keys. */
export const MODEL_VERSION = 'model 1';

export type GlbCompression = 'meshopt' | 'draco' | 'none';

const METRES_PER_MM = 0.001;

/**
 * @param colourways at least one; the first is what a viewer shows before a variant is chosen. Names must differ
 *   as `variantName` writes them.
 * @param compression EXT_meshopt_compression, KHR_draco_mesh_compression, or none but KHR_mesh_quantization
 * @throws RangeError if a colourway does not dress every lane and row
 */
export async function buildGlb(
  shape: BuiltShape,
  colourways: readonly ColourwayLook[],
  compression: GlbCompression = 'meshopt',
): Promise<Uint8Array> {
  checkColourways(shape, colourways);
  await MeshoptEncoder.ready;
  const document = new Document();
  document.getRoot().getAsset().generator = 'Bandwright';
  document.createBuffer();
  const scene = document.createScene('band');
  document.getRoot().setDefaultScene(scene);
  const root = document.createNode('band').setTranslation([0, -lowestPoint(shape) * METRES_PER_MM, 0]);
  scene.addChild(root);

  const dresser = new Dresser(document, colourways);
  const grid = gridAround(shape.lanes.map((lane) => lane.mesh));
  const draco = compression === 'draco';
  if (!draco) document.createExtension(KHRMeshQuantization).setRequired(true);
  const lean = await leanLanes(shape);
  shape.lanes.forEach((lane, index) => {
    const surface = lean[index];
    const name = plainName(`lane_${lane.name}`);
    const mesh = document.createMesh(name);
    const apart = colourways.some((way) => way.finishes[index].name !== way.bore.name);
    for (const { part, bore } of apart ? outsideAndBore(surface) : [{ part: surface, bore: false }]) {
      const primitive = lanePrimitive(document, compactMesh(part, grid), draco);
      dresser.dress(primitive, (set, way) =>
        set.metal(way.alloys[index], bore ? way.bore : way.finishes[index]),
      );
      mesh.addPrimitive(primitive);
    }
    const { translation, scale } = gridTransform(grid);
    root.addChild(document.createNode(name).setMesh(mesh).setTranslation(translation).setScale(scale));
  });
  shape.rows.forEach((row) => {
    const primitive = stonePrimitive(document, row.stone.mesh);
    const { stone } = row;
    const light = {
      depthMm: stone.depthMm,
      pathMm: lightPathMm(stone),
      through: Number(shareThrough(stone).toFixed(3)),
    };
    dresser.dress(primitive, (set, way) => set.stone(way.stones[row.slot], light));
    for (const node of stoneNodes(document, row, primitive)) root.addChild(node);
  });

  if (draco) compressDraco(document);
  else if (compression === 'meshopt') compressMeshopt(document);
  const io = await glbIO(draco);
  return io.writeBinary(document);
}

function compressMeshopt(document: Document): void {
  document.createExtension(EXTMeshoptCompression).setRequired(true).setEncoderOptions({
    method: EXTMeshoptCompression.EncoderMethod.QUANTIZE,
  });
}

/** 16 bits over a band of 25 mm are steps of 0.4 µm; 12 bits of a normal are steps of 0.03°. */
function compressDraco(document: Document): void {
  document
    .createExtension(KHRDracoMeshCompression)
    .setRequired(true)
    .setEncoderOptions({
      method: KHRDracoMeshCompression.EncoderMethod.EDGEBREAKER,
      quantizationBits: { POSITION: 16, NORMAL: 12 },
    });
}

/** Reads and writes GLB with every extension used here, meshopt included; Draco if asked, whose codec loads slowly. */
export async function glbIO(draco = false): Promise<NodeIO> {
  await Promise.all([MeshoptEncoder.ready, MeshoptDecoder.ready]);
  const io = new NodeIO()
    .registerExtensions(ALL_EXTENSIONS)
    .registerDependencies({ 'meshopt.encoder': MeshoptEncoder, 'meshopt.decoder': MeshoptDecoder });
  if (!draco) return io;
  return io.registerDependencies({
    'draco3d.encoder': await draco3d.createEncoderModule(),
    'draco3d.decoder': await draco3d.createDecoderModule(),
  });
}

/** The same model with meshopt in place of Draco, for viewers without its codec; other models as they are. */
export async function withoutDraco(glb: Uint8Array): Promise<Uint8Array> {
  // the name stands in the JSON chunk and, by its length, nowhere else by chance
  if (
    !Buffer.from(glb.buffer, glb.byteOffset, glb.byteLength).includes(KHRDracoMeshCompression.EXTENSION_NAME)
  )
    return glb;
  const io = await glbIO(true);
  const document = await io.readBinary(glb);
  document.createExtension(KHRDracoMeshCompression).dispose();
  compressMeshopt(document);
  return io.writeBinary(document);
}

/** Gives primitives their material and one KHR_materials_variants mapping per distinct material. */
class Dresser {
  readonly #document: Document;
  readonly #extension: KHRMaterialsVariants;
  readonly #ways: readonly ColourwayLook[];
  readonly #variants: Variant[];
  readonly #materials: MaterialSet;

  constructor(document: Document, ways: readonly ColourwayLook[]) {
    this.#document = document;
    this.#ways = ways;
    this.#extension = document.createExtension(KHRMaterialsVariants);
    this.#variants = ways.map((way) => this.#extension.createVariant(variantName(way.name)));
    this.#materials = createMaterials(this.#document);
  }

  dress(
    primitive: Primitive,
    choose: (set: MaterialSet, way: ColourwayLook) => ReturnType<MaterialSet['metal']>,
  ) {
    const worn = this.#ways.map((way) => choose(this.#materials, way));
    const list = this.#extension.createMappingList();
    for (const material of new Set(worn)) {
      const mapping = this.#extension.createMapping().setMaterial(material);
      worn.forEach((m, i) => {
        if (m === material) mapping.addVariant(this.#variants[i]);
      });
      list.addMapping(mapping);
    }
    primitive.setMaterial(worn[0]).setExtension('KHR_materials_variants', list);
  }
}

/** @param floats Draco rounds by itself and wants plain numbers */
function lanePrimitive(document: Document, mesh: CompactMesh, floats: boolean): Primitive {
  const buffer = document.getRoot().listBuffers()[0];
  const wide = mesh.positions.length / 3 > 65535;
  return document
    .createPrimitive()
    .setAttribute(
      'POSITION',
      document
        .createAccessor()
        .setType('VEC3')
        .setArray(floats ? Float32Array.from(mesh.positions, (v) => Math.max(-1, v / 32767)) : mesh.positions)
        .setNormalized(!floats)
        .setBuffer(buffer),
    )
    .setAttribute(
      'NORMAL',
      document
        .createAccessor()
        .setType('VEC3')
        .setArray(floats ? unitVectors(mesh.normals) : mesh.normals)
        .setNormalized(!floats)
        .setBuffer(buffer),
    )
    .setIndices(
      document
        .createAccessor()
        .setType('SCALAR')
        .setArray(wide ? mesh.indices : Uint16Array.from(mesh.indices))
        .setBuffer(buffer),
    );
}

function unitVectors(codes: ArrayLike<number>): Float32Array {
  const out = Float32Array.from(codes);
  for (let i = 0; i < out.length; i += 3) {
    const length = Math.hypot(out[i], out[i + 1], out[i + 2]) || 1;
    for (let k = 0; k < 3; k++) out[i + k] /= length;
  }
  return out;
}

/** Stones stay in 32-bit floats: a few hundred vertices, and facet edges exact. */
function stonePrimitive(document: Document, mesh: TriMesh): Primitive {
  const buffer = document.getRoot().listBuffers()[0];
  const vector = (array: Float32Array) =>
    document.createAccessor().setType('VEC3').setArray(array).setBuffer(buffer);
  return document
    .createPrimitive()
    .setAttribute('POSITION', vector(mesh.positions.map((v) => v * METRES_PER_MM)))
    .setAttribute('NORMAL', vector(mesh.normals.slice()))
    .setIndices(
      document.createAccessor().setType('SCALAR').setArray(Uint16Array.from(mesh.indices)).setBuffer(buffer),
    );
}

function stoneNodes(document: Document, row: StoneRow, primitive: Primitive) {
  const name = plainName(`stone_${row.name}`);
  const mesh = document.createMesh(name).addPrimitive(primitive);
  return Array.from({ length: row.count }, (_, i) => {
    const m = row.placements.subarray(12 * i, 12 * i + 12);
    return document
      .createNode(`${name}_${i + 1}`)
      .setMesh(mesh)
      .setRotation(placementRotation(m))
      .setTranslation([m[3] * METRES_PER_MM, m[7] * METRES_PER_MM, m[11] * METRES_PER_MM]);
  });
}

function gridTransform(grid: Grid) {
  const scale = grid.halfMm * METRES_PER_MM;
  return {
    translation: grid.centre.map((v) => v * METRES_PER_MM) as [number, number, number],
    scale: [scale, scale, scale] as [number, number, number],
  };
}

function checkColourways(shape: BuiltShape, colourways: readonly ColourwayLook[]) {
  const names = new Set(colourways.map((way) => variantName(way.name)));
  if (colourways.length === 0 || names.size < colourways.length) {
    throw new RangeError(`expected colourways with distinct names but received ${colourways.length}`);
  }
  const stones = Math.max(0, ...shape.rows.map(({ slot }) => slot + 1));
  for (const way of colourways) {
    const lanes = Math.min(way.alloys.length, way.finishes.length);
    if (lanes < shape.lanes.length || way.stones.length < stones) {
      throw new RangeError(
        `expected looks for ${shape.lanes.length} lanes and ${stones} stones in ${way.name} ` +
          `but received ${lanes} and ${way.stones.length}`,
      );
    }
  }
}
