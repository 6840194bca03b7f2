/** What can be taken hold of in the unrolled drawing, and which values of the template follow it. */
import { edgeCurve } from '../band/outline.ts';
import { type Unrolled, unrolled } from '../papers/unrolled.ts';
import type { BandSource } from '../plan/band-source.ts';
import type { FieldPath } from '../plan/yaml-source.ts';
import {
  type Grip,
  type HandleWords,
  inDegrees,
  inTurn,
  type Setting,
  shiftedText,
  turnedTo,
  writtenAngle,
  writtenMm,
} from './grip.ts';
import { seamGrips } from './seam-grips.ts';

/** A band whose seams follow those of another has none: what it is made from is written for that one. */
export function gripsOf(source: BandSource, band: Unrolled = unrolled(source.design)): Grip[] {
  if (source.follows) return [];
  return [
    ...widthGrip(source, band),
    ...seamGrips(source, band),
    ...rowGrips(source, band),
    ...letterGrips(source, band),
  ];
}

/** What a handle comes to at a place; undefined if there is none of that id. */
export function movedGrip(source: BandSource, id: string, x: number, y: number): Setting[] | undefined {
  return gripsOf(source)
    .find((grip) => grip.id === id)
    ?.settings(x, y);
}

/**
 * Out of the way of what stands at the top, but on a tapered band, whose width is that of the top. A band with an outline
 * has none: its edges are those of curves.
 */
function widthGrip({ design }: BandSource, band: Unrolled): Grip[] {
  if (design.outline) return [];
  const theta = design.taper ? 0 : (5 * Math.PI) / 6;
  return [
    {
      id: 'width',
      said: 'width',
      moves: 'y',
      x: band.x(theta),
      y: band.y(edgeCurve(design, 1).z(theta)),
      settings: (_, y) => [{ path: ['width'], text: writtenMm(2 * Math.abs(band.z(y))) }],
    },
  ];
}

function rowGrips({ written, design }: BandSource, band: Unrolled): Grip[] {
  return design.rows.flatMap(({ name, coverage, graduate }) => {
    const stones = band.stones.filter(({ row }) => row === name);
    const own = written.rows[name];
    if (stones.length === 0 || !own) return [];
    const far = ({ middle: [x] }: (typeof stones)[number]) => Math.abs(band.theta(x));
    const sorted = stones.toSorted((a, b) => far(a) - far(b));
    const size = (key: string, said: HandleWords, path: FieldPath, stone: (typeof stones)[number]): Grip => ({
      id: `rows.${name}.${key}`,
      said,
      name,
      moves: 'y',
      x: stone.middle[0],
      y: stone.middle[1] + stone.diameterMm / 2,
      settings: (_, y) => [
        { path: ['rows', name, ...path], text: writtenMm(2 * Math.abs(y - stone.middle[1])) },
      ],
    });
    const last = sorted[sorted.length - 1];
    return [
      size('diameter', 'size', ['diameter'], sorted[0]),
      ...(graduate ? [size('graduate', 'last', ['graduate', 'to'], last)] : []),
      ...reachGrips(name, coverage, stones, band),
    ];
  });
}

type RowStones = Unrolled['stones'];

function reachGrips(
  name: string,
  coverage: BandSource['design']['rows'][number]['coverage'],
  stones: RowStones,
  band: Unrolled,
): Grip[] {
  const [, y] = stones[0].middle;
  if (coverage.kind === 'arc')
    return [
      {
        id: `rows.${name}.coverage`,
        said: 'reach',
        name,
        moves: 'x',
        x: band.x(coverage.angleRad / 2),
        y,
        settings: (x) => [
          { path: ['rows', name, 'coverage'], text: `${inDegrees(2 * Math.abs(band.theta(x)))} deg` },
        ],
      },
    ];
  if (coverage.kind !== 'angles') return [];
  return coverage.anglesRad.map((theta, k) => ({
    id: `rows.${name}.coverage.${k}`,
    said: 'stone',
    name,
    number: k + 1,
    moves: 'x',
    x: band.x(inTurn(theta)),
    y: stones.find(({ middle: [x] }) => Math.abs(x - band.x(inTurn(theta))) < 1e-6)?.middle[1] ?? y,
    settings: (x) => [{ path: ['rows', name, 'coverage', k], text: writtenAngle(band.theta(x)) }],
  }));
}

function letterGrips({ written, design }: BandSource, band: Unrolled): Grip[] {
  const { outside } = design.engraving ?? {};
  const own = written.engraving?.outside;
  const { letters } = band;
  if (!outside || !letters || !own || own === 'none') return [];
  const { atRad } = letters.line;
  const middleMm = letters.line.run.z(atRad);
  return [
    {
      id: 'engraving.outside',
      said: 'letters',
      name: outside.lane,
      moves: 'xy',
      x: band.x(atRad),
      y: band.y(middleMm),
      settings: (x, y) => {
        const by = band.z(y) - middleMm;
        const across = own.across
          ? shiftedText(own.across, by, design.widthMm)
          : writtenMm(middleMm + by + design.widthMm / 2);
        return [
          ...turnedTo(['engraving', 'outside', 'at'], band.theta(x), atRad),
          ...(Math.abs(by) < 0.005 ? [] : [{ path: ['engraving', 'outside', 'across'], text: across }]),
        ];
      },
    },
  ];
}
