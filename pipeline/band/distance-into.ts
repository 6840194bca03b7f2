import type { FlatPoint } from './flattened.ts';

/** Distance of a place into closed contours by the even-odd rule, in their unit; below 0 outside them. */
export function distanceInto(contours: readonly (readonly FlatPoint[])[], x: number, y: number): number {
  let nearest = Number.POSITIVE_INFINITY;
  let inside = false;
  for (const contour of contours) {
    for (let i = 0; i < contour.length; i++) {
      const [ax, ay] = contour[i];
      const [bx, by] = contour[i + 1 === contour.length ? 0 : i + 1];
      const [dx, dy] = [bx - ax, by - ay];
      const along = Math.min(1, Math.max(0, ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy || 1)));
      nearest = Math.min(nearest, (x - ax - along * dx) ** 2 + (y - ay - along * dy) ** 2);
      if (ay > y !== by > y && x < ax + ((y - ay) / dy) * dx) inside = !inside;
    }
  }
  return inside ? Math.sqrt(nearest) : -Math.sqrt(nearest);
}
