/** A scene that needs no config: to see that tracing works on a machine and how fast. */
import type { TraceScene } from '../scene/trace-scene.ts';

const AROUND = 96;
const ACROSS = 24;

/** A polished gold torus, 20 mm across, standing on white ground under a dome and one softbox. */
export function trialScene(width: number, height: number): TraceScene {
  return {
    mesh: torus(9, 1),
    surfaces: [{ alphaX: 0.01, alphaY: 0.01, metal: 0, axis: [0, 0, 1] }],
    cuts: [],
    stones: [],
    gems: [],
    lights: [{ centre: [0, 60, 30], u: [25, 0, 0], v: [0, 11, 22], radiance: [6, 6, 6], falloff: 0.3 }],
    dome: new Float32Array([0.2, 0.2, 0.2, 0.5, 0.5, 0.5, 0.8, 0.8, 0.8]),
    ground: { kind: 'white', albedo: [0.8, 0.8, 0.8], level: 1 },
    camera: {
      eye: [40, 30, 80],
      target: [0, 10, 0],
      up: [0, 1, 0],
      fovY: 0.3,
      lensRadius: 0,
      focusDistance: 90,
    },
    width,
    height,
    // Gold, linear: from memory, good enough for a trial.
    colourways: [{ metals: [{ f0: [1, 0.78, 0.34], f82: [1, 0.9, 0.6] }], gems: [] }],
  };
}

/** Axis along z, resting on y = 0; `R` to the middle of the tube of radius `r`. */
function torus(R: number, r: number): TraceScene['mesh'] {
  const positions: number[] = [];
  const normals: number[] = [];
  const indices: number[] = [];
  for (let i = 0; i < AROUND; i++) {
    const a = (2 * Math.PI * i) / AROUND;
    for (let j = 0; j < ACROSS; j++) {
      const b = (2 * Math.PI * j) / ACROSS;
      const normal = [Math.cos(b) * Math.cos(a), Math.cos(b) * Math.sin(a), Math.sin(b)];
      normals.push(...normal);
      positions.push(R * Math.cos(a) + r * normal[0], R + r + R * Math.sin(a) + r * normal[1], r * normal[2]);
      const at = (k: number, l: number) => (k % AROUND) * ACROSS + (l % ACROSS);
      const [p, q, s, t] = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
      indices.push(p, q, s, p, s, t);
    }
  }
  return {
    positions: new Float32Array(positions),
    normals: new Float32Array(normals),
    indices: new Uint32Array(indices),
    surface: new Uint16Array(indices.length / 3),
  };
}
