import { expect, test } from 'vitest';
import { decodeScene, encodeScene } from '../../pipeline/tracer/scene-blob.ts';
import { smallScene } from './test-scene.ts';

const scene = smallScene({
  cuts: [new Float32Array([0, 0, 1, 0.5]), new Float32Array(0)],
  stones: [{ cut: 0, gem: 0, toWorld: Float32Array.from({ length: 12 }, (_, i) => i / 7) }],
  gems: [{ cauchyA: 2.38, cauchyB: 0.0124 }],
});

test('a scene comes back from its blob as it was, also from shared memory', () => {
  const blob = encodeScene(scene);
  const shared = new SharedArrayBuffer(blob.byteLength);
  new Uint8Array(shared).set(blob);
  expect(decodeScene(blob.buffer)).toEqual(scene);
  expect(decodeScene(shared)).toEqual(scene);
});

test('arrays are views on the blob, each on a 16-byte boundary', () => {
  const { buffer } = encodeScene(scene);
  const { mesh, dome, stones } = decodeScene(buffer);
  for (const array of [mesh.positions, mesh.normals, mesh.indices, mesh.surface, dome, stones[0].toWorld]) {
    expect(array.buffer).toBe(buffer);
    expect(array.byteOffset % 16).toBe(0);
  }
});

test('arrays that are windows on a larger buffer are cut out of it', () => {
  const window = new Float32Array([9, 9, 1, 2, 3, 9]).subarray(2, 5);
  expect([...decodeScene(encodeScene(smallScene({ dome: window })).buffer).dome]).toEqual([1, 2, 3]);
});

test('what JSON would silently change is refused by name', () => {
  const camera = { ...scene.camera, focusDistance: Number.POSITIVE_INFINITY };
  expect(() => encodeScene({ ...scene, camera })).toThrow(
    'scene.camera.focusDistance: expected a finite number',
  );
  expect(() => decodeScene(new ArrayBuffer(32))).toThrow('not a scene blob');
});
