import { bendAt, derivativesAt, pointAt, type StrandCurve } from './strand-curve.ts';
import { finenessOf } from './sweep-angles.ts';
import type { WeldedMesh } from './welded-mesh.ts';

const NONE = new Uint32Array(0);

/** Least sections of one repeat of the pattern, and least sides of a wire. */
const LEAST_SECTIONS = 16;
const LEAST_SIDES = 12;

/**
 * A round wire swept along its centre line into a closed mesh: sections square to the line, the first side of each towards
 * the outside of the band, so that the last meets the first. The volume is that of the section times the line's length,
 * since the line runs through the section's middle, but for what chords take.
 */
export function strandMesh(
  curve: StrandCurve,
  wireMm: number,
  repeats: number,
  chordToleranceMm: number,
): WeldedMesh {
  const { chordMm, turnAcross } = finenessOf(chordToleranceMm);
  const radius = wireMm / 2;
  const sides = Math.max(
    LEAST_SIDES,
    Math.ceil(Math.PI / Math.acos(Math.max(0, 1 - chordMm / radius))),
    Math.ceil((2 * Math.PI) / turnAcross),
  );
  const angles = sectionAngles(curve, repeats, radius, chordMm, turnAcross);
  const count = angles.length;
  // a polygon of the same area as the circle: half of its corners' reach lies out of it, half of its sides within
  const corner = radius * Math.sqrt((2 * Math.PI) / (sides * Math.sin((2 * Math.PI) / sides)));
  const positions = new Float32Array(3 * sides * count);
  const normals = new Float32Array(positions.length);
  for (const [i, theta] of angles.entries()) {
    const middle = pointAt(curve, theta);
    const { out, beside } = sectionAxes(curve, theta);
    for (let k = 0; k < sides; k++) {
      const turn = (2 * Math.PI * k) / sides;
      const [c, s] = [Math.cos(turn), Math.sin(turn)];
      for (let axis = 0; axis < 3; axis++) {
        const n = c * out[axis] + s * beside[axis];
        normals[3 * (i * sides + k) + axis] = n;
        positions[3 * (i * sides + k) + axis] = middle[axis] + corner * n;
      }
    }
  }
  return { positions, normals, indices: ringIndices(sides, count), mergeFrom: NONE, mergeTo: NONE };
}

/** Directions in the section of a wire: towards the outside of the band, and square to that. */
export function sectionAxes(curve: StrandCurve, theta: number) {
  const [d] = derivativesAt(curve, theta);
  const size = Math.hypot(...d);
  const t = d.map((x) => x / size);
  const [sin, cos] = [Math.sin(theta), Math.cos(theta)];
  const lean = t[0] * sin + t[1] * cos;
  const outwards = [sin - lean * t[0], cos - lean * t[1], -lean * t[2]];
  const long = Math.hypot(...outwards);
  const out = outwards.map((x) => x / long);
  const beside = [
    out[1] * t[2] - out[2] * t[1],
    out[2] * t[0] - out[0] * t[2],
    out[0] * t[1] - out[1] * t[0],
  ];
  return { out, beside };
}

const SURVEY = 512;

/** Angles of the sections, as dense as the line's bends ask for, and alike in every repeat. */
function sectionAngles(
  curve: StrandCurve,
  repeats: number,
  radius: number,
  chordMm: number,
  turnMost: number,
): Float64Array {
  const span = (2 * Math.PI) / repeats;
  const step = span / SURVEY;
  const total = new Float64Array(SURVEY + 1);
  for (let i = 0; i < SURVEY; i++) {
    const { speed, turning } = bendAt(curve, (i + 0.5) * step);
    const curvature = turning / speed ** 3;
    // a chord over dθ of the outer side of a bend strays (speed · dθ)² · curvature · (1 + curvature · radius) / 8
    const straying = speed * Math.sqrt((curvature * (1 + curvature * radius)) / (8 * chordMm));
    const wanted = Math.max(LEAST_SECTIONS / span, straying, (speed * curvature) / turnMost);
    total[i + 1] = total[i] + step * wanted;
  }
  const count = Math.ceil(total[SURVEY]);
  const own = Array.from({ length: count }, (_, i) => {
    const wanted = (total[SURVEY] * i) / count;
    const cell = total.findLastIndex((sum) => sum <= wanted);
    return (cell + (wanted - total[cell]) / (total[cell + 1] - total[cell])) * step;
  });
  return Float64Array.from(
    { length: count * repeats },
    (_, i) => own[i % count] + Math.floor(i / count) * span,
  );
}

/** Quads between neighbouring rings, the last ring's with the first; outwards. */
function ringIndices(sides: number, count: number): Uint32Array {
  const indices = new Uint32Array(6 * sides * count);
  let at = 0;
  for (let i = 0; i < count; i++) {
    const [here, next] = [i * sides, ((i + 1) % count) * sides];
    for (let k = 0; k < sides; k++) {
      const l = (k + 1) % sides;
      for (const index of [here + k, next + k, here + l, next + k, next + l, here + l]) indices[at++] = index;
    }
  }
  return indices;
}

/** The outline of a wire in the half-plane at θ, which it crosses at a slant. */
export function strandSection(
  curve: StrandCurve,
  wireMm: number,
  theta: number,
  sides = 48,
): { z: number; r: number }[] {
  return Array.from({ length: sides }, (_, k) => {
    const turn = (2 * Math.PI * k) / sides;
    const onSurface = (at: number) => {
      const middle = pointAt(curve, at);
      const { out, beside } = sectionAxes(curve, at);
      return middle.map((x, i) => x + (wireMm / 2) * (Math.cos(turn) * out[i] + Math.sin(turn) * beside[i]));
    };
    // the line along this side of the wire crosses the half-plane once near its middle
    let at = theta;
    for (let i = 0; i < 60; i++) {
      const [x, y] = onSurface(at);
      const past = Math.atan2(x, y) - theta;
      const off = Math.atan2(Math.sin(past), Math.cos(past));
      at -= 0.7 * off;
      if (Math.abs(off) < 1e-9) break;
    }
    const [x, y, z] = onSurface(at);
    return { z, r: Math.hypot(x, y) };
  });
}
