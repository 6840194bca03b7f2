/** What a claw holds of its stone. */
import { type Claw, clawSections } from './claw-form.ts';
import { outsideGirdle } from './girdle.ts';
import { crownHeightAt, type Frame, type Stone, toBand, toStone } from './stone.ts';
import type { Vec } from './vec.ts';

/** Directions in which a section's outline is looked at. */
const TURNS = Array.from({ length: 40 }, (_, i) => [
  Math.cos((i * Math.PI) / 20),
  Math.sin((i * Math.PI) / 20),
]);

/** The notch lies this far over the crown, mm: what stands no higher is cut away. */
const NOTCH_OVER_MM = 0.03;

/** Far more than sums are rounded by, mm. */
const ROUNDING_MM = 1e-9;

/** How far inside a stone's girdle the claw still lies above the crown, mm: the overhang that holds the stone. */
export function clawBite(claw: Claw, stone: Stone, place: Frame): number {
  // the claw's frame as seen from the stone's
  const origin = toStone(place, claw.frame.origin);
  const level = { ...place, origin: [0, 0, 0] as Vec };
  const [ax, ay, aAxis] = [claw.frame.x, claw.frame.y, claw.frame.axis].map((v) => toStone(level, v));
  let bite = 0;
  for (const { h, along, across, shift } of clawSections(claw).reverse()) {
    const middle = toStone(place, toBand(claw.frame, [0, shift, h]));
    // no point of it lies farther within than its middle by more than its reach
    const most = Math.max(along, across) - outsideGirdle(stone.girdle, middle[0], middle[1]);
    if (most < bite - ROUNDING_MM) continue;
    for (const [cos, sin] of TURNS) {
      const [u, v] = [along * cos, shift + across * sin];
      const x = origin[0] + u * ax[0] + v * ay[0] + h * aAxis[0];
      const y = origin[1] + u * ax[1] + v * ay[1] + h * aAxis[1];
      const z = origin[2] + u * ax[2] + v * ay[2] + h * aAxis[2];
      const within = -outsideGirdle(stone.girdle, x, y);
      if (within > bite && z > crownHeightAt(stone, x, y) + NOTCH_OVER_MM) bite = within;
    }
  }
  return bite;
}

/** How much of a claw's width a stone's girdle takes away on its side, as a share of the width there. */
export function notchShare(claw: Claw, stone: Stone, place: Frame): number {
  const sections = clawSections(claw);
  const above = sections.findIndex(({ h }) => h >= 0);
  const [low, high] = [sections[Math.max(0, above - 1)], sections[Math.max(0, above)]];
  const t = high.h > low.h && low.h < 0 ? -low.h / (high.h - low.h) : 0;
  const across = low.across + t * (high.across - low.across);
  const shift = low.shift + t * (high.shift - low.shift);
  const [x, y] = toStone(place, toBand(claw.frame, [0, shift, 0]));
  return (across - outsideGirdle(stone.girdle, x, y)) / (2 * across);
}
