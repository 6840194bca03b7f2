/**
 * Sketches of what the measures of a setting are: a cut through a stone and the metal that holds it. Lengths are those of
 * an example, drawn large; the stone's heights are those of the cut that is built.
 */
import { brilliantHeights, FINE_BRILLIANT } from '../../pipeline/setting/brilliant.ts';
import { escapeHtml } from '../../pipeline/words/html.ts';

const SCALE = 110;
const WIDTH = 640;
const HEIGHT = 400;
/** where the girdle's middle stands on the paper */
const MIDDLE = { x: WIDTH / 2, y: 160 };
const D = 1.6;

const n = (value: number) => String(Number(value.toFixed(1)));
const px = ([x, y]: Point) => `${n(MIDDLE.x + SCALE * x)} ${n(MIDDLE.y - SCALE * y)}`;
/** mm from the girdle's middle, up */
type Point = readonly [x: number, y: number];

const path = (points: readonly Point[], kind: string) =>
  `<path class="${kind}" d="M${points.map(px).join('L')}Z"/>`;
const line = (from: Point, to: Point, kind: string) => `<path class="${kind}" d="M${px(from)}L${px(to)}"/>`;

function label([x, y]: Point, words: string, anchor = 'middle'): string {
  const at = `x="${n(MIDDLE.x + SCALE * x)}" y="${n(MIDDLE.y - SCALE * y)}"`;
  return `<text ${at} text-anchor="${anchor}">${escapeHtml(words)}</text>`;
}

/** A dimension across, its words above it. */
function across(x0: number, x1: number, y: number, words: string): string {
  return (
    line([x0, y], [x1, y], 'dim') + tick([x0, y]) + tick([x1, y]) + label([(x0 + x1) / 2, y + 0.06], words)
  );
}

/** A dimension upright, its words beside it. */
function upright(x: number, y0: number, y1: number, words: string): string {
  const side = x < 0 ? -1 : 1;
  const place: Point = [x + side * 0.08, (y0 + y1) / 2 - 0.04];
  return (
    line([x, y0], [x, y1], 'dim') +
    tick([x, y0]) +
    tick([x, y1]) +
    label(place, words, side < 0 ? 'end' : 'start')
  );
}

const tick = ([x, y]: Point) => line([x - 0.03, y - 0.03], [x + 0.03, y + 0.03], 'dim');
/** A thin line from a place in the drawing out to where its dimension stands. */
const out = (from: Point, to: Point) => line(from, to, 'help');

function stone(): string {
  const { table, crown, pavilion } = heights();
  const half = D / 2;
  return path(
    [
      [-half, 0],
      [-table / 2, crown],
      [table / 2, crown],
      [half, 0],
      [0, -pavilion],
    ],
    'stone',
  );
}

function heights() {
  return { ...brilliantHeights(D), table: FINE_BRILLIANT.table * D };
}

/** Half of the metal beside the stone as points from its surface inwards; the other half is its mirror. */
function metal(half: readonly Point[]): string {
  return (
    path(half, 'metal') +
    path(
      half.map(([x, y]): Point => [-x, y]),
      'metal',
    )
  );
}

const BORE = -1.5;
const EDGE = 1.9;
const HOLE = 0.3 * D;

function sketch(title: string, body: string): string {
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${HEIGHT}" width="${WIDTH}" height="${HEIGHT}" role="img"><title>${escapeHtml(title)}</title><style>
text { font: 15px sans-serif; fill: #222; } .metal { fill: #e6dcc2; stroke: #222; stroke-width: 1.5; } .claw { fill: #d9cba6; stroke: #222; stroke-width: 1.5; }
.stone { fill: #e3eef5; stroke: #222; stroke-width: 1.5; } .dim { stroke: #a03020; stroke-width: 1.3; fill: none; } .help { stroke: #a03020; stroke-width: 0.7; stroke-dasharray: 4 3; fill: none; }
</style><rect width="${WIDTH}" height="${HEIGHT}" fill="#fff"/>${body}</svg>\n`;
}

/** Metal with a seat and a hole under a stone whose girdle lies `depth` below the surface. */
function seated(depth: number): Point[] {
  const half = D / 2;
  const foot = heights().pavilion * (HOLE / half - 1);
  return [
    [EDGE, depth],
    [half, depth],
    [half, 0],
    [HOLE, foot],
    [HOLE, BORE],
    [EDGE, BORE],
  ];
}

const holeAndDepth = (depth: number) =>
  across(-HOLE, HOLE, BORE - 0.22, 'hole (share of diameter)') +
  out([-HOLE, BORE], [-HOLE, BORE - 0.26]) +
  out([HOLE, BORE], [HOLE, BORE - 0.26]) +
  out([-D / 2, 0], [-2.05, 0]) +
  out([-EDGE, depth], [-2.05, depth]) +
  upright(-2.05, 0, depth, 'set-depth') +
  across(-D / 2, D / 2, 0.86, 'diameter') +
  out([-D / 2, 0], [-D / 2, 0.9]) +
  out([D / 2, 0], [D / 2, 0.9]);

function sharedClaws(): string {
  const depth = 0.12;
  const tip = 0.3;
  const c = D / 2 - 0.06;
  const claw = (side: number) =>
    path(
      [
        [side * (c - 0.14), depth - 0.3],
        [side * (c - 0.2), tip - 0.1],
        [side * (c - 0.12), tip],
        [side * (c + 0.1), tip - 0.02],
        [side * (c + 0.27), depth],
        [side * (c + 0.27), depth - 0.3],
      ],
      'claw',
    );
  const x0 = c - 0.14;
  const x1 = c + 0.27;
  return sketch(
    'Shared claws: claw-diameter, claw-height, set-depth, hole',
    metal(seated(depth)) +
      claw(1) +
      claw(-1) +
      stone() +
      claw(1) +
      claw(-1) +
      holeAndDepth(depth) +
      across(x0, x1, -0.75, 'claw-diameter') +
      out([x0, depth], [x0, -0.79]) +
      out([x1, depth], [x1, -0.79]) +
      out([c, tip], [2.05, tip]) +
      out([D / 2, 0], [2.05, 0]) +
      upright(2.05, 0, tip, 'claw-height'),
  );
}

function channel(): string {
  const depth = 0.3;
  const open = 0.45 * D;
  const half = D / 2;
  const wall: Point[] = [
    [EDGE, depth],
    [open, depth],
    [open, 0.07],
    [half, 0],
    [open, -0.1],
    [open, -0.55],
    [HOLE, -0.55],
    [HOLE, BORE],
    [EDGE, BORE],
  ];
  return sketch(
    'Channel: opening, set-depth, hole',
    metal(wall) +
      stone() +
      holeAndDepth(depth) +
      across(-open, open, 0.5, 'opening (share of diameter)') +
      out([-open, depth], [-open, 0.54]) +
      out([open, depth], [open, 0.54]),
  );
}

function grain(): string {
  const depth = 0.25;
  const floor = depth - 0.1;
  const half = D / 2;
  const rail = half + 0.4;
  const foot = heights().pavilion * (HOLE / half - 1);
  const field: Point[] = [
    [EDGE, depth],
    [rail + 0.1, depth],
    [rail, floor],
    [half, floor],
    [half, 0],
    [HOLE, foot],
    [HOLE, BORE],
    [EDGE, BORE],
  ];
  const bead = (side: number) =>
    `<circle class="claw" cx="${n(MIDDLE.x + SCALE * side * (half + 0.08))}" cy="${n(MIDDLE.y - SCALE * (floor + 0.04))}" r="${n(0.17 * SCALE)}"/>`;
  return sketch(
    'Grain: grain, field, field-depth, set-depth, hole',
    metal(field) +
      stone() +
      bead(1) +
      bead(-1) +
      holeAndDepth(depth) +
      across(half - 0.09, half + 0.25, -0.42, 'grain') +
      out([half - 0.09, floor], [half - 0.09, -0.46]) +
      out([half + 0.25, floor], [half + 0.25, -0.46]) +
      across(half, rail, 0.5, 'field') +
      out([half, 0], [half, 0.54]) +
      out([rail, floor], [rail, 0.54]) +
      out([EDGE, depth], [2.05, depth]) +
      out([rail, floor], [2.05, floor]) +
      upright(2.05, floor, depth, 'field-depth'),
  );
}

function flush(): string {
  const { crown } = heights();
  const half = D / 2;
  const foot = heights().pavilion * (HOLE / half - 1);
  const lip = 0.14;
  const sunk: Point[] = [
    [EDGE, crown],
    [half + 0.12, crown],
    [half - lip, 0.09],
    [half, 0],
    [HOLE, foot],
    [HOLE, BORE],
    [EDGE, BORE],
  ];
  return sketch(
    'Flush: lip, hole; the table lies level with the metal',
    metal(sunk) +
      stone() +
      across(-HOLE, HOLE, BORE - 0.22, 'hole (share of diameter)') +
      across(-half, half, 0.86, 'diameter') +
      out([-half, 0], [-half, 0.9]) +
      out([half, 0], [half, 0.9]) +
      across(half - lip, half, 0.5, 'lip') +
      out([half - lip, 0.09], [half - lip, 0.54]) +
      out([half, 0], [half, 0.54]) +
      out([-EDGE, crown], [EDGE, crown]),
  );
}

/** Metal of a collar whose outside draws in downwards to the band's surface. */
const RAISED_DEPTH = -0.62;
const raisedBand: Point[] = [
  [EDGE, RAISED_DEPTH],
  [HOLE, RAISED_DEPTH],
  [HOLE, BORE],
  [EDGE, BORE],
];

const raisedMeasures = (radius: number, foot: number) =>
  across(-HOLE, HOLE, BORE - 0.22, 'hole (share of diameter)') +
  out([-HOLE, BORE], [-HOLE, BORE - 0.26]) +
  out([HOLE, BORE], [HOLE, BORE - 0.26]) +
  out([-D / 2, 0], [-2.05, 0]) +
  out([-EDGE, RAISED_DEPTH], [-2.05, RAISED_DEPTH]) +
  upright(-2.05, RAISED_DEPTH, 0, 'set-depth') +
  out([D / 2, 0], [D / 2, 0.74]) +
  out([radius, 0], [radius, 0.74]) +
  across(D / 2, radius, 0.7, 'wall') +
  out([radius, 0], [radius, RAISED_DEPTH]) +
  across(foot, radius, RAISED_DEPTH - 0.12, 'taper');

function bezel(): string {
  const half = D / 2;
  const [radius, foot] = [half + 0.36, half + 0.2];
  const lip = 0.14;
  const bearing = heights().pavilion * (HOLE / half - 1);
  const wall: Point[] = [
    [foot, RAISED_DEPTH],
    [radius, 0],
    [radius - 0.04, 0.1],
    [radius - 0.18, 0.18],
    [half - lip + 0.05, 0.2],
    [half - lip, 0.1],
    [half, 0],
    [HOLE, bearing],
    [HOLE, RAISED_DEPTH],
  ];
  return sketch(
    'Bezel: wall, lip, taper, set-depth, hole',
    metal(raisedBand) +
      metal(wall) +
      stone() +
      raisedMeasures(radius, foot) +
      across(half - lip, half, 0.46, 'lip') +
      out([half - lip, 0.1], [half - lip, 0.5]) +
      out([half, 0], [half, 0.5]),
  );
}

function head(): string {
  const half = D / 2;
  const [radius, foot] = [half + 0.3, half + 0.14];
  const bearing = heights().pavilion * (HOLE / half - 1);
  const cup: Point[] = [
    [foot, RAISED_DEPTH],
    [radius - 0.02, -0.08],
    [half, -0.08],
    [HOLE, bearing],
    [HOLE, RAISED_DEPTH],
  ];
  const tip = 0.26;
  const claw = (side: number) =>
    path(
      [
        [side * (half + 0.02), -0.1],
        [side * (half - 0.12), tip - 0.08],
        [side * (half - 0.06), tip],
        [side * (half + 0.18), tip - 0.04],
        [side * (half + 0.38), -0.1],
        [side * (foot + 0.08), RAISED_DEPTH],
        [side * (foot - 0.2), RAISED_DEPTH],
      ],
      'claw',
    );
  return sketch(
    'Head: claws, claw-diameter, claw-height, wall, taper, set-depth',
    metal(raisedBand) +
      metal(cup) +
      stone() +
      claw(1) +
      claw(-1) +
      raisedMeasures(radius, foot) +
      out([half, tip], [2.05, tip]) +
      out([half, 0], [2.05, 0]) +
      upright(2.05, 0, tip, 'claw-height'),
  );
}

/** Every sketch by the setting's style. */
export const SKETCHES: Readonly<Record<string, string>> = {
  'shared-claws': sharedClaws(),
  channel: channel(),
  grain: grain(),
  flush: flush(),
  bezel: bezel(),
  head: head(),
};
