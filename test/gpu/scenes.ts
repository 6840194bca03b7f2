/** Small scenes on which engines are compared: together they use every law of light there is. */
import type { Surface, TraceScene, Vec3 } from '../../pipeline/scene/trace-scene.ts';
import {
  bandMesh,
  bareScene,
  brilliantPlanes,
  lightTowards,
  stoneAt,
  turned,
} from '../tracer/kernel-scenes.ts';

const RADIUS = 10;
const BOTTOM: Vec3 = [0, RADIUS, 0];
const GOLD = { f0: [1, 0.78, 0.34] as Vec3, f82: [1, 0.9, 0.6] as Vec3 };
const STEEL = { f0: [0.56, 0.57, 0.58] as Vec3, f82: [0.7, 0.72, 0.75] as Vec3 };

const surface = (parts: Partial<Surface>): Surface => ({
  alphaX: 0.002,
  alphaY: 0.002,
  metal: 0,
  axis: [0, 0, 1],
  ...parts,
});

const relief = (
  parts: Pick<
    NonNullable<Surface['relief']>,
    'along' | 'across' | 'slopeAlong' | 'slopeAcross' | 'tilt' | 'strokes'
  >,
) => ({
  ...parts,
  centre: BOTTOM,
  x: [1, 0, 0] as Vec3,
  radius: RADIUS,
});

/** Softboxes, one of them hard-edged and one black, and a dome that changes with height. */
const STUDIO = {
  lights: [
    lightTowards([30, 60, 40], BOTTOM, 20, 12, 7, 0.4),
    lightTowards([-50, 30, 20], BOTTOM, 8, 20, 3),
    lightTowards([0, 25, -30], BOTTOM, 10, 6, 0),
  ],
  dome: new Float32Array([0.1, 0.1, 0.12, 0.3, 0.3, 0.3, 0.7, 0.75, 0.9]),
};

const STONES = {
  cuts: [brilliantPlanes(5)],
  gems: [
    { cauchyA: 2.58, cauchyB: 0.025 },
    { cauchyA: 1.75, cauchyB: 0.006 },
    { cauchyA: 1.54, cauchyB: 0 },
  ],
  stones: [
    stoneAt([-6, 3, 11], turned(-0.9, 0.3), 0, 0),
    stoneAt([0, 3, 12], turned(-0.7, 1.3), 0, 1),
    stoneAt([6, 3, 11], turned(-1.1, 2.1), 0, 2),
  ],
};

function scene(parts: Partial<TraceScene>): TraceScene {
  const gems = parts.gems ?? [];
  const tint = (a: Vec3, b: Vec3) =>
    gems.map((_, i) => ({ absorption: i === 1 ? a : ([0, 0, 0] as Vec3), b }));
  return bareScene({
    ...STUDIO,
    mesh: bandMesh(RADIUS - 0.9, 0.9, 2.5, RADIUS, 64, 16),
    surfaces: [surface({})],
    ground: { kind: 'white', albedo: [0.8, 0.8, 0.8], level: 0.97 },
    camera: {
      eye: [10, 26, 70],
      target: [0, 9, 2],
      up: [0, 1, 0],
      fovY: 0.42,
      lensRadius: 0,
      focusDistance: 72,
    },
    width: 32,
    height: 32,
    colourways: [
      { metals: [GOLD], gems: tint([0, 0.3, 0.5], [0, 0, 0]).map(({ absorption }) => ({ absorption })) },
      { metals: [STEEL], gems: tint([0.4, 0.1, 0], [0, 0, 0]).map(({ absorption }) => ({ absorption })) },
    ],
    ...parts,
  });
}

const none = { absorption: [0, 0, 0] as Vec3 };

/** More colourways than a card's paths carry in one group, and not so many that they fill the second. */
function six(): TraceScene['colourways'] {
  return [0, 1, 2, 3, 4, 5].map((i) => {
    const f0: Vec3 = [1 - 0.08 * i, 0.78 - 0.04 * i, 0.34 + 0.05 * i];
    const absorption: Vec3 = [0.1 * i, 0.3 - 0.05 * i, 0.5 - 0.08 * i];
    return { metals: [{ f0, f82: [1, 0.9, 0.6 + 0.05 * i] as Vec3 }], gems: [none, { absorption }, none] };
  });
}

/** Stones that take nothing of the light that goes through them, whose program has nothing to do with colours then. */
export const colourless = (): TraceScene['colourways'] =>
  [GOLD, STEEL].map((metal) => ({ metals: [metal], gems: [none, none, none] }));

/** A band of so many surfaces in turn. */
function inStrips(surfaces: number): TraceScene['mesh'] {
  const mesh = bandMesh(RADIUS - 0.9, 0.9, 2.5, RADIUS, 64, 16);
  return { ...mesh, surface: mesh.surface.map((_, i) => (i >> 5) % surfaces) };
}

const LINES = { along: 4, across: 0.3, slopeAlong: 0.02, slopeAcross: 0.2 };
const DENTS = { along: 1, across: 1, slopeAlong: 0.25, slopeAcross: 0.25, tilt: 0.5 };
const CROSSED = { along: 0.6, across: 0.6, slopeAlong: 0.2, slopeAcross: 0.2, strokes: 'crossed' as const };
const CIRCLES = { along: 4, across: 4, slopeAlong: 0.2, slopeAcross: 0.2, strokes: 'circles' as const };

/** A band in strips of lacquered wood, polished enamel, strokes in circles and two layered metals. */
function strips(): Partial<TraceScene> {
  const frame = { centre: BOTTOM, x: [1, 0, 0] as Vec3, radius: RADIUS };
  const wood = {
    kind: 'wood' as const,
    ringMm: 1.5,
    pithMm: 14,
    round: false,
    poreMm: 0.3,
    poreShare: 0.3,
    waver: 0.6,
  };
  const layers = {
    kind: 'layers' as const,
    stackMm: 0.8,
    share: 0.6,
    turns: 5,
    barMm: 1.7,
    bendMm: 0.3,
    bendLengthMm: 2,
  };
  const body = (...tones: [Vec3, Vec3]) => ({ tones });
  return {
    mesh: inStrips(4),
    surfaces: [
      surface({ alphaX: 0.1, alphaY: 0.25, coat: 1.5, pattern: { ...wood, ...frame, seed: 3 } }),
      surface({ metal: 1, coat: 1.55 }),
      surface({ metal: 2, relief: relief(CIRCLES) }),
      surface({ metal: 2, alphaX: 0.2, alphaY: 0.2, pattern: { ...layers, ...frame, seed: 4, other: 4 } }),
      surface({ metal: 3 }),
    ],
    colourways: [
      {
        metals: [
          body([0.5, 0.3, 0.15], [0.15, 0.07, 0.03]),
          body([0.8, 0.8, 0.75], [0.8, 0.8, 0.75]),
          GOLD,
          STEEL,
        ],
        gems: [],
      },
      {
        metals: [
          body([0.7, 0.6, 0.4], [0.4, 0.25, 0.1]),
          body([0.05, 0.1, 0.5], [0.05, 0.1, 0.5]),
          STEEL,
          GOLD,
        ],
        gems: [],
      },
    ],
  };
}

const paper = { radius: 14, fade: 8, beyond: 0.3 };

export const COATED = 'wood and enamel under a coat, layers, strokes in circles, on paper with a rim';
export const GLOSS =
  'stones through gloss, satin and brushed with lines, dents that lean, strokes to either side, through a lens';
/** its film has a plane of another kind */
export const CLEAR = 'clear ground with its matte';

/** Each asks for programs of its own, which the software adapter compiles for seconds: so a scene uses many laws at once. */
export const SCENES = {
  [COATED]: () =>
    scene({
      ...strips(),
      ground: { kind: 'white', albedo: [0.8, 0.8, 0.8], level: 0.97, paper, rim: 0.2 },
    }),
  'stones of six colours under a picture of the sky, on a sweep': () =>
    scene({
      ...STONES,
      colourways: six(),
      sky: skyPicture(),
      lights: STUDIO.lights.slice(0, 1),
      ground: { kind: 'sweep', albedo: [0.5, 0.55, 0.6], level: 1 },
    }),
  [GLOSS]: () =>
    scene({
      ...STONES,
      mesh: inStrips(4),
      // paths of one carry numbers in place of vectors
      colourways: colourless().slice(0, 1),
      surfaces: [
        surface({ alphaX: 0.25, alphaY: 0.25 }),
        surface({ alphaX: 0.05, alphaY: 0.2, relief: relief(LINES) }),
        surface({ alphaX: 0.1, alphaY: 0.1, relief: relief(DENTS) }),
        surface({ alphaX: 0.1, alphaY: 0.1, relief: relief(CROSSED) }),
      ],
      ground: { kind: 'gloss', albedo: [0.05, 0.05, 0.06], level: 1 },
      camera: { ...scene({}).camera, lensRadius: 2 },
    }),
  [CLEAR]: () => scene({ ...STONES, ground: { kind: 'clear', albedo: [0.8, 0.8, 0.8], level: 0.97, paper } }),
} satisfies Record<string, () => TraceScene>;

/** Nothing but polished metal on white: the least that programs can be asked for. */
export const plainScene = (): TraceScene => scene({});

/** What single laws are asked about: lights, a pictured sky, a rough lobe, stones. */
export const probeScene = (): TraceScene =>
  scene({
    ...STONES,
    sky: skyPicture(),
    surfaces: [
      surface({ alphaX: 0.15, alphaY: 0.4 }),
      surface({ metal: 1, alphaX: 0.2, alphaY: 0.1, coat: 1.6 }),
    ],
    colourways: [{ metals: [GOLD, { tones: [GOLD.f0, GOLD.f0] }], gems: scene(STONES).colourways[0].gems }],
  });

/** A sun, a bright half and a dark one. */
function skyPicture() {
  const [width, height] = [32, 16];
  const texels = new Float32Array(width * height * 3);
  for (let j = 0; j < height; j++)
    for (let i = 0; i < width; i++) {
      const sun = j === 4 && i === 20 ? 60 : 0;
      const base = j < height / 2 ? 0.5 + 0.4 * Math.cos((2 * Math.PI * i) / width) : 0.1;
      texels.set([base + sun, base * 0.95 + sun, base * 1.1 + 0.8 * sun], (j * width + i) * 3);
    }
  return { width, height, texels, turn: 0.15 };
}
