import type { Vector3 } from 'three';
import type { BuiltShape } from '../band/built-shape.ts';
import type { ShotName, TouchingPair } from '../plan/plan.ts';
import type { CameraDirection, FrameFill } from './framing.ts';
import { inscription, inscriptionAngle, inscriptionHeads, outsideHeads } from './inscription.ts';
import { closeUp, outline, swept } from './outline.ts';
import { layPair, standPair } from './pair.ts';
import { type PlacedBand, placeBand } from './pose.ts';
import { wearPair } from './worn.ts';

/** How each kind of shot poses its bands and where its camera stands. Degrees here, radians past this file. */
interface View {
  azimuth: number;
  elevation: number | ((shapes: readonly BuiltShape[]) => number);
  fovY: number;
  fill: FrameFill;
  /** `turn`: how far a turntable has turned, radians */
  place(shapes: readonly BuiltShape[], turn: number): PlacedBand[];
  /** what must be in the frame, if not all of the bands */
  frame?(bands: readonly PlacedBand[]): Vector3[];
  /** how far the studio's paper goes and fades here, as shares of what it says; all of it if absent */
  paper?: { radius: number; fade: number };
  /** how long it is exposed, as a share of what the studio says; as it says if absent */
  exposure?: number;
  /** what an open lens is focused on: the stone or metal nearest to it, or the middle of the frame */
  focus?: 'middle';
}

const DEG = Math.PI / 180;

function standing(yaw: number, roll = 0): (shapes: readonly BuiltShape[]) => PlacedBand[] {
  return (shapes) =>
    shapes
      .slice(0, 1)
      .map((s) => placeBand(s, { rest: 'standing', yaw: yaw * DEG, roll: roll * DEG, x: 0, z: 0 }));
}

/** From where the bore's far wall stands clear of the near one, with a little of the ground between them. */
function overNearWall([{ widthMm, innerDiameterMm }]: readonly BuiltShape[]): number {
  return Math.atan(widthMm / innerDiameterMm) / DEG + 12;
}

const VIEWS: Record<ShotName, View> = {
  'three-quarter': {
    azimuth: 0,
    elevation: 24,
    fovY: 16,
    fill: { x: 0.84, y: 0.8, lift: 0.01 },
    place: standing(56),
  },
  front: {
    azimuth: 0,
    elevation: 15,
    fovY: 16,
    fill: { x: 0.78, y: 0.78, lift: 0.01 },
    exposure: 1.2,
    place: standing(0),
  },
  'flat-lay': {
    azimuth: 0,
    elevation: 28,
    fovY: 16,
    fill: { x: 0.78, y: 0.78, lift: 0.01 },
    // an upright wall mirrors the table beside it: paper that ends soon draws a dark line along its upper edge, and as paper
    // is darker than lamps, it is exposed longer
    paper: { radius: 1, fade: 0.08 },
    exposure: 1.4,
    place: (shapes) =>
      shapes.slice(0, 1).map((s) => placeBand(s, { rest: 'lying', yaw: 14 * DEG, roll: 0, x: 0, z: 0 })),
  },
  // edge on and from afar, so that the section's outline stands clear against the ground
  profile: {
    azimuth: 0,
    elevation: 3,
    fovY: 9,
    fill: { x: 0.7, y: 0.78, lift: 0.01 },
    place: standing(90),
  },
  macro: {
    azimuth: 0,
    elevation: 52,
    fovY: 16,
    fill: { x: 0.94, y: 0.8, lift: 0 },
    // letters at the top are shown from the edge at their feet
    place: (shapes) => standing(outsideHeads(shapes[0]) === 'second' ? 208 : 28)(shapes),
    frame: closeUp,
    focus: 'middle',
  },
  // the inscription in the far wall of a lying band, upright, over the near one
  inside: {
    azimuth: 0,
    elevation: overNearWall,
    fovY: 16,
    fill: { x: 0.92, y: 0.66, lift: 0.1 },
    place: (shapes) =>
      shapes.slice(0, 1).map((s) =>
        placeBand(s, {
          rest: 'lying',
          over: inscriptionHeads(s) === 'first',
          yaw: 0,
          roll: inscriptionAngle(s) - Math.PI,
          x: 0,
          z: 0,
        }),
      ),
    frame: inscription,
    focus: 'middle',
  },
  turntable: {
    azimuth: 0,
    elevation: 20,
    fovY: 16,
    fill: { x: 0.8, y: 0.8, lift: 0.01 },
    place: (shapes, turn) =>
      shapes
        .slice(0, 1)
        .map((s) => placeBand(s, { rest: 'standing', yaw: 56 * DEG + turn, roll: 0, x: 0, z: 0 })),
    // every frame alike: whatever the band sweeps as it turns
    frame: swept,
  },
  pair: { azimuth: 0, elevation: 17, fovY: 18, fill: { x: 0.86, y: 0.8, lift: 0.01 }, place: standPair },
};

/** Pairs that touch are seen from a little above. */
const TOUCHING: Record<TouchingPair, View> = {
  stacked: { azimuth: 0, elevation: 20, fovY: 16, fill: { x: 0.8, y: 0.8, lift: 0.01 }, place: layPair },
  worn: { azimuth: 0, elevation: 30, fovY: 16, fill: { x: 0.8, y: 0.8, lift: 0.01 }, place: wearPair },
};

export interface Composition {
  bands: PlacedBand[];
  direction: CameraDirection;
  fill: FrameFill;
  /** what must be in the frame */
  points: Vector3[];
  focus: 'nearest' | 'middle';
  /** how far the studio's paper goes and fades, as shares of what it says */
  paper: { radius: number; fade: number };
  /** as a share of what the studio says */
  exposure: number;
}

/**
 * Poses the bands of a shot and says where its camera looks from.
 * @param turn of a turntable, radians
 * @param laid a pair whose bands touch; one that lies edge on edge does so where that holds
 */
export function composeShot(
  view: ShotName,
  shapes: readonly BuiltShape[],
  turn = 0,
  laid?: TouchingPair,
): Composition {
  const v = laid ? TOUCHING[laid] : VIEWS[view];
  const bands = v.place(shapes, turn);
  const elevation = typeof v.elevation === 'number' ? v.elevation : v.elevation(shapes);
  return {
    bands,
    direction: { azimuth: v.azimuth * DEG, elevation: elevation * DEG, fovY: v.fovY * DEG },
    fill: v.fill,
    points: v.frame?.(bands) ?? outline(bands),
    focus: v.focus ?? 'nearest',
    paper: v.paper ?? { radius: 1, fade: 1 },
    exposure: v.exposure ?? 1,
  };
}
