import { lanesOf } from '../band/lane.ts';
import { edgeCurve } from '../band/outline.ts';
import { boreSurface, outsideSurface } from '../band/outside.ts';
import { radiusAt } from '../band/profile.ts';
import type { ShapeDesign } from '../plan/design.ts';
import { isRefused } from '../problem.ts';
import { girdleReach } from '../setting/girdle.ts';
import { planRow } from '../setting/row-plan.ts';
import type { Locale } from '../words/locale.ts';
import { drawnText, line, n, svg, tag } from './drawing-parts.ts';

/** The edges at which a band has stones in its side face. */
export function facesWithStones({ rows }: ShapeDesign): ('first' | 'second')[] {
  return (['first', 'second'] as const).filter((edge) => rows.some(({ face }) => face === edge));
}

const STEPS = 240;

/**
 * A side face as one sees it who looks along the finger, the top of the band above: bore, outside and the stones set
 * into it; of a row that can be made.
 */
export function faceDrawing(
  design: ShapeDesign,
  edge: 'first' | 'second',
  { messages }: Locale,
  s: number,
): string {
  const side = edge === 'first' ? -1 : 1;
  const { z } = edgeCurve(design, side);
  const [outside, bore] = [outsideSurface(design), boreSurface(design)];
  const round = (surface: typeof bore) =>
    Array.from({ length: STEPS }, (_, i) => {
      const theta = (2 * Math.PI * i) / STEPS;
      const r = radiusAt(surface(theta), z(theta));
      return [r * Math.sin(theta), r * Math.cos(theta)];
    });
  const rims = [outside, bore].map(round);
  const reach = Math.max(...rims[0].map(([x, y]) => Math.hypot(x, y)));
  const middle = s * reach + 2;
  const top = middle + 5;
  // whoever looks at the second edge sees the band as it is turned, at the first one its mirror image
  const at = ([x, y]: readonly number[]) => [middle + side * s * x, top - s * y] as const;
  const outlines = rims.map(
    (rim) => `<polygon class="edge" points="${rim.map((p) => at(p).map(n).join(',')).join(' ')}"/>`,
  );
  const lanes = lanesOf(design);
  const stones = design.rows.flatMap((row, i) => {
    const plan = row.face === edge ? planRow(row, i, lanes) : { problems: [] };
    if (isRefused(plan)) return [];
    return plan.places.stones.map(({ frame, stone: { girdle } }, k) => {
      const [x, y] = at(frame.origin);
      const radius = girdleReach(girdle);
      const circle = `<circle class="stone" data-stone="${row.name} ${k + 1}" cx="${n(x)}" cy="${n(y)}" r="${n(s * radius)}"/>`;
      return circle + tag(x, y, k + 1, 2 * s * radius);
    });
  });
  const marks = line(middle, 4, middle, 7, 'help') + drawnText(middle, 3, messages.bench.top);
  return svg(2 * middle, top + middle - 3, [...outlines, ...stones, marks].join(''));
}
