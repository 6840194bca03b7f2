/** Traced pictures and the GLB of the same band, drawn from the same place under what light can be given to it. */
import { Matrix4 } from 'three';
import type { BuiltShape } from '../band/built-shape.ts';
import { lowestPoint } from '../model/lowest-point.ts';
import type { Still, StillOrder } from '../page/reader/still.ts';
import { compareFilms, type FilmComparison } from '../picture/comparison.ts';
import type { ShotPlan } from '../plan/plan.ts';
import { WHITE_LEVEL } from '../scene/ground.ts';
import { studioMap } from '../scene/studio-map.ts';
import type { TraceScene } from '../scene/trace-scene.ts';
import { composeShot } from '../scene/view.ts';
import type { Film } from '../tracer/tracer.ts';

/** Drawings are made in software: larger ones take longer and tell no more of colour. */
const WIDTH = 640;

/** What the browser is to draw: the colourways `variants` of a model, each once. */
export function stillOrder(
  scene: TraceScene,
  shot: ShotPlan,
  shape: BuiltShape,
  glb: Uint8Array,
  variants: string[],
): StillOrder {
  const [band] = composeShot(shot.view, [shape], shot.turn?.angle, shot.laid).bands;
  const lift = new Matrix4().makeTranslation(0, lowestPoint(shape), 0);
  const toWorld = band.toWorld
    .clone()
    .multiply(lift)
    .multiply(new Matrix4().makeScale(1000, 1000, 1000));
  const map = studioMap(scene, [
    band.toWorld.elements[12],
    scene.camera.target[1],
    band.toWorld.elements[14],
  ]);
  const width = Math.min(WIDTH, shot.widthPx);
  const height = Math.max(1, Math.round((shot.heightPx * width) / shot.widthPx));
  return {
    glb: Buffer.from(glb).toString('base64'),
    variants,
    toWorld: toWorld.elements,
    camera: scene.camera,
    width,
    height,
    map: { ...map, texels: Buffer.from(map.texels.buffer).toString('base64') },
    background: WHITE_LEVEL,
  };
}

/** One traced film beside the `i`-th drawing, as it is stored. */
export async function compareStill(
  traced: Film,
  still: Still,
  i: number,
  { width, height }: StillOrder,
): Promise<StoredComparison> {
  const metal = upright(Buffer.from(still.metal, 'base64'), width, 1);
  const model = filmOf(still.pictures[i], width, height);
  return compareFilms({ traced, model, metal, white: WHITE_LEVEL });
}

/** WebGL reads rows from the bottom up. */
function upright(bytes: Uint8Array, width: number, bytesEach: number): Uint8Array {
  const row = width * bytesEach;
  const out = new Uint8Array(bytes.length);
  for (let from = 0, to = bytes.length - row; to >= 0; from += row, to -= row)
    out.set(bytes.subarray(from, from + row), to);
  return out;
}

function filmOf(base64: string, width: number, height: number): Film {
  const rgba = new Float32Array(upright(Buffer.from(base64, 'base64'), width, 16).buffer);
  const data = new Float32Array(width * height * 3);
  for (let i = 0; i < width * height; i++) data.set(rgba.subarray(4 * i, 4 * i + 3), 3 * i);
  return { width, height, data };
}

export interface StoredComparison {
  comparison: FilmComparison;
  width: number;
  height: number;
  data: Uint8Array;
}

/** A 4-byte little-endian length, that many bytes of JSON, then the picture. */
export function encodeComparison({ data, ...facts }: StoredComparison): Uint8Array {
  const header = Buffer.from(JSON.stringify(facts));
  const length = Buffer.alloc(4);
  length.writeUInt32LE(header.length);
  return Buffer.concat([length, header, data]);
}

export function decodeComparison(bytes: Uint8Array): StoredComparison {
  const buffer = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const at = 4 + buffer.readUInt32LE(0);
  return { ...JSON.parse(buffer.toString('utf8', 4, at)), data: buffer.subarray(at) };
}
