import { degrees, mm } from '../band/design-problems.ts';
import type { Lane } from '../band/lane.ts';
import type { WeldedMesh } from '../band/welded-mesh.ts';
import type { RowDesign } from '../catalogue/design.ts';
import type { Problem } from '../problem.ts';
import { axisHeight, thetaOf, wallBeside } from './clearance.ts';
import { girdleReach, outsideGirdle } from './girdle.ts';
import { domeRun, revolve, straightRun } from './revolution.ts';
import { rowFrame } from './row-curve.ts';
import type { RowLayout } from './row-layout.ts';
import { alongRow, crownHeightAt, type Frame, type Stone, toStone } from './stone.ts';
import { add, along, cross, distance, dot, scale, sub, unit, type Vec } from './vec.ts';

/** A round claw: a pin with a hemispherical cap. Heights are along its axis from the girdle plane; mm. */
export interface Claw {
  /** origin in the girdle plane; x along the row */
  frame: Frame;
  radius: number;
  /** height of the cap's tip */
  tip: number;
  /** height of the foot inside the metal */
  foot: number;
}

/** How far a claw leans over each girdle, as a share of its diameter: a shared claw is notched at most 25 % a side. */
export const BITE_SHARE = 0.2;

/**
 * Frames of the two claws between neighbouring stones, on either side of the row, each overlapping both girdles
 * by `bite`. Undefined when the gap is too wide to reach both.
 */
export function clawFrames(
  a: Frame,
  b: Frame,
  stone: Stone,
  clawRadius: number,
  bite: number,
): Frame[] | undefined {
  const chordMiddle = scale(add(a.origin, b.origin), 0.5);
  const axis = unit(add(a.axis, b.axis));
  // on a round band the two girdle planes meet above the chord
  const middle = along(chordMiddle, axis, dot(sub(a.origin, chordMiddle), a.axis) / dot(axis, a.axis));
  const chord = sub(b.origin, a.origin);
  const x = unit(along(chord, axis, -dot(chord, axis)));
  const y = cross(axis, x);
  const aside =
    stone.girdle.kind === 'round'
      ? roundAside(distance(a.origin, b.origin) / 2, stone.girdle.radius + clawRadius - bite)
      : outlineAside([a, b], stone, middle, y, clawRadius - bite);
  return aside?.map((offset) => ({ origin: along(middle, y, offset), x, y, axis }));
}

function roundAside(half: number, reach: number): number[] | undefined {
  if (half >= reach) return undefined;
  const aside = Math.sqrt(reach * reach - half * half);
  return [aside, -aside];
}

/**
 * How far from the row's line the two claws stand so that either is `reach` away from the nearer of its two girdles'
 * outlines. The distance to a convex outline along a line has one minimum, so each side has one such place.
 */
function outlineAside(
  stones: [Frame, Frame],
  stone: Stone,
  middle: Vec,
  y: Vec,
  reach: number,
): number[] | undefined {
  const excess = (aside: number) =>
    Math.max(
      ...stones.map((frame) => {
        const [px, py] = toStone(frame, along(middle, y, aside));
        return outsideGirdle(stone.girdle, px, py) - reach;
      }),
    );
  if (excess(0) >= 0) return undefined;
  return [1, -1].map((side) => {
    let near = 0;
    let far = girdleReach(stone.girdle) + 2 * reach;
    for (let i = 0; i < 60; i++) {
      const half = (near + far) / 2;
      if (excess(side * half) < 0) near = half;
      else far = half;
    }
    return side * near;
  });
}

export function clawMesh(claw: Claw, segments: number): WeldedMesh {
  const { radius, tip, foot } = claw;
  const rings = Math.max(5, Math.round(segments / 4));
  return revolve(
    claw.frame,
    [
      straightRun(0, foot, radius, foot),
      [...straightRun(radius, foot, radius, tip - radius), ...domeRun(radius, tip - radius, rings).slice(1)],
    ],
    segments,
  );
}

/**
 * How far inside a stone's girdle the claw still lies above the crown, mm: the overhang that holds the stone.
 * Sampled on the claw's upper outline towards the stone's axis.
 */
export function clawBite(claw: Claw, stone: Stone, place: Frame): number {
  const { frame, radius, tip } = claw;
  const towards = sub(place.origin, frame.origin);
  const inward = unit(along(towards, frame.axis, -dot(towards, frame.axis)));
  const aside = cross(frame.axis, inward);
  // the nearest part of a round girdle lies towards its centre, that of a corner may lie beside
  const turns = stone.girdle.kind === 'round' ? [0] : CORNER_TURNS;
  let bite = 0;
  for (const turn of turns) {
    const way = add(scale(inward, Math.cos(turn)), scale(aside, Math.sin(turn)));
    for (let i = 0; i <= 120; i++) {
      const out = (i / 120) * radius;
      const height = tip - radius + Math.sqrt(radius * radius - out * out);
      const point: Vec = along(along(frame.origin, way, out), frame.axis, height);
      const [x, y, z] = toStone(place, point);
      if (z > crownHeightAt(stone, x, y)) bite = Math.max(bite, -outsideGirdle(stone.girdle, x, y));
    }
  }
  return bite;
}

const CORNER_TURNS = [-1.4, -1.05, -0.7, -0.35, 0, 0.35, 0.7, 1.05, 1.4];

/** A claw must stand at least this share of its diameter deep in the metal to fuse with it. */
const LEAST_SINK_SHARE = 0.5;
/** Metal that must be left between a claw's foot and the bore, mm. */
const FOOT_FLOOR_MM = 0.2;

/** All claws of a row: a pair in every gap, and a pair beyond each end of an open row. Problems instead if they fail. */
export function planClaws(
  row: RowDesign,
  path: string,
  lane: Lane,
  stone: Stone,
  layout: RowLayout,
  places: { frame: Frame }[],
): Claw[] | { problems: Problem[] } {
  const { setting } = row;
  if (setting.style !== 'shared-claws') return [];
  const radius = setting.clawDiameterMm / 2;
  if (!(radius > 0 && setting.clawHeightMm > 0)) {
    const received = `${setting.clawDiameterMm} × ${setting.clawHeightMm} mm`;
    return refuse('claw-size', path, 'claws of positive diameter and height', received, 'Give both in mm.');
  }
  const claws: Claw[] = [];
  for (const [a, b] of neighbours(row, lane, layout, places)) {
    const frames = clawFrames(a, b, stone, radius, BITE_SHARE * setting.clawDiameterMm);
    if (!frames) {
      const widest = mm(2 * radius * (1 - 2 * BITE_SHARE));
      const received = `${mm(distance(a.origin, b.origin) - alongRow(row))} at θ = ${degrees(thetaOf(a.origin))}`;
      const advice = 'Use more stones, thicker claws or a smaller gap.';
      return refuse('claws-out-of-reach', path, `gaps up to ${widest} for these claws`, received, advice);
    }
    const apart = distance(frames[0].origin, frames[1].origin);
    if (apart < 2 * radius) {
      const expected = `claws that stand apart on either side of the row (at least ${mm(2 * radius)})`;
      const received = `${mm(apart)} between their middles at θ = ${degrees(thetaOf(a.origin))}`;
      const advice = 'Set such pointed ends across the row (length below diameter), or choose another cut.';
      return refuse('claws-meet', path, expected, received, advice);
    }
    for (const frame of frames) {
      const surface = axisHeight(frame, lane.outer);
      const deepest = axisHeight(frame, lane.bore) + FOOT_FLOOR_MM;
      const foot = Math.max(surface - 2 * radius, deepest);
      const place = `at θ = ${degrees(thetaOf(frame.origin))}`;
      if (surface - foot < LEAST_SINK_SHARE * 2 * radius) {
        const expected = `claws sunk at least ${mm(LEAST_SINK_SHARE * 2 * radius)} into the metal`;
        const advice = 'Make the band thicker or the claws thinner.';
        return refuse('claw-too-shallow', path, expected, `${mm(surface - foot)} ${place}`, advice);
      }
      const beside = Math.min(
        wallBeside(lane, frame, surface, radius),
        wallBeside(lane, frame, foot, radius),
      );
      if (beside < 0) {
        const expected = `claws that stand within lane '${lane.name}'`;
        const advice = 'Widen the lane, or use smaller stones or thinner claws.';
        return refuse('claw-off-lane', path, expected, `one ${mm(-beside)} over its side ${place}`, advice);
      }
      claws.push({ frame, radius, tip: setting.clawHeightMm, foot });
    }
  }
  return claws;
}

function refuse(code: string, path: string, expected: string, received: string, advice: string) {
  return { problems: [{ code, severity: 'error' as const, path, expected, received, advice }] };
}

/** Pairs of neighbouring frames; beyond the ends of an open row the next place at the same pitch stands in. */
function neighbours(
  row: RowDesign,
  lane: Lane,
  layout: RowLayout,
  places: { frame: Frame }[],
): [Frame, Frame][] {
  const frames = places.map(({ frame }) => frame);
  const inner = frames.slice(1).map((frame, i): [Frame, Frame] => [frames[i], frame]);
  if (layout.closed) return [...inner, [frames.at(-1)!, frames[0]]];
  const pitch = layout.chord > 0 ? layout.chord : alongRow(row) + row.leastGapMm;
  const beyond = (theta: number, side: 1 | -1) => {
    const radius = Math.hypot(frames[0].origin[0], frames[0].origin[1]);
    return rowFrame(lane, row.setDepthMm, theta + side * 2 * Math.asin(pitch / 2 / radius));
  };
  const { angles } = layout;
  return [[beyond(angles[0], -1), frames[0]], ...inner, [frames.at(-1)!, beyond(angles.at(-1)!, 1)]];
}
