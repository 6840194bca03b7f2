import type { TraceScene } from '../../pipeline/scene/trace-scene.ts';

/** A metal triangle on white ground under an even dome: small, complete, and valid for the real kernel too. */
export function smallScene(overrides: Partial<TraceScene> = {}): TraceScene {
  const metal = (f: number) => ({
    f0: [f, f, f] as [number, number, number],
    f82: [f, f, f] as [number, number, number],
  });
  return {
    mesh: {
      positions: new Float32Array([-8, 0, 0, 8, 0, 0, 0, 12, 0]),
      normals: new Float32Array([0, 0, 1, 0, 0, 1, 0, 0, 1]),
      indices: new Uint32Array([0, 1, 2]),
      surface: new Uint16Array([0]),
    },
    surfaces: [{ alphaX: 0.2, alphaY: 0.2, metal: 0, axis: [0, 0, 1] }],
    cuts: [],
    stones: [],
    gems: [],
    lights: [],
    dome: new Float32Array(12).fill(1),
    ground: { kind: 'white', albedo: [0.8, 0.8, 0.8], level: 1 },
    camera: {
      eye: [0, 8, 60],
      target: [0, 6, 0],
      up: [0, 1, 0],
      fovY: 0.35,
      lensRadius: 0,
      focusDistance: 60,
    },
    width: 64,
    height: 48,
    colourways: [
      { metals: [metal(0.9)], gems: [] },
      { metals: [metal(0.5)], gems: [] },
    ],
    ...overrides,
  };
}

/** The part that `fake-kernel.ts` plays. */
export const fakeDome = (mean: number, deviation: number, delay = 0, mode = 0) =>
  new Float32Array([mean, deviation, delay, mode]);
