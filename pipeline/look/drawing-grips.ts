/** What can be taken hold of in the unrolled drawing, and which values of the template follow it. */
import { edgeCurve, widthCurve } from '../band/outline.ts';
import { seamCurve } from '../band/seam.ts';
import type { SeamCurve } from '../band/seam-curve.ts';
import { type Unrolled, unrolled } from '../papers/unrolled.ts';
import type { BandSource } from '../plan/band-source.ts';
import type { WidthMeasure } from '../plan/measure.ts';
import type { SeamDesign } from '../plan/seam-design.ts';
import { widthText } from '../plan/template-fields.ts';
import type { ShapingMessages } from '../words/messages.ts';
import type { Handle } from './contract.ts';
import type { Setting } from './edits.ts';

type HandleWords = keyof ShapingMessages['drawing']['handles'];

/** A handle whose words are still to be chosen. */
export interface Grip extends Omit<Handle, 'label' | 'text'> {
  said: HandleWords;
  name?: string;
  number?: number;
  /** what is to be written when it is let go at a place of the drawing, mm; as it is told for screen readers too */
  settings(x: number, y: number): Setting[];
}

type Path = (string | number)[];

/** Least turn worth writing, degrees: less comes of a hand that meant to move a handle across. */
const LEAST_TURN_DEG = 0.2;

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

const mm = (value: number) => `${Number(value.toFixed(2))} mm`;
const degrees = (theta: number) => Number(((theta * 180) / Math.PI).toFixed(1));
const inTurn = (theta: number) => theta - 2 * Math.PI * Math.round(theta / (2 * Math.PI));
const angle = (theta: number) => `${degrees(inTurn(theta))} deg`;

/** The last angle, unless it hardly changed. */
function turnedTo(path: Path, theta: number, before: number): Setting[] {
  const change = Math.abs(degrees(inTurn(theta - before)));
  return change < LEAST_TURN_DEG ? [] : [{ path, text: angle(theta) }];
}

/** Moved by a distance: of a place that is only a share of the width the share, of any other the millimetres. */
function shifted(place: WidthMeasure, byMm: number, widthMm: number): string {
  const { share, mm: own } = place;
  if (share !== 0 && own === 0)
    return widthText({ share: Number((share + byMm / widthMm).toFixed(3)), mm: 0 });
  return widthText({ share, mm: Number((own + byMm).toFixed(2)) });
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
      settings: (_, y) => [{ path: ['width'], text: mm(2 * Math.abs(band.z(y))) }],
    },
  ];
}

function seamGrips({ written, design }: BandSource, band: Unrolled): Grip[] {
  return design.seams.flatMap((seam, i) => {
    const name = seam.name ?? '';
    const own = written.seams[name];
    if (!own) return [];
    const { curve } = band.lanes[i].high;
    return ofSeam(name, own, seam, curve, band, widthCurve(design).z);
  });
}

/** @param widthAt_ of the band at an angle: shares of a tapered band are of that */
function ofSeam(
  name: string,
  own: BandSource['written']['seams'][string],
  path: SeamDesign,
  curve: SeamCurve,
  band: Unrolled,
  widthAt_: (theta: number) => number,
): Grip[] {
  const grip = (
    key: string,
    said: HandleWords,
    at: number,
    moves: Handle['moves'],
    settings: Grip['settings'],
    number?: number,
  ): Grip => {
    const theta = inTurn(at);
    const place = { x: band.x(theta), y: band.y(curve.z(theta)) };
    return {
      id: `seams.${name}.${key}`,
      said,
      name,
      ...(number !== undefined && { number }),
      ...place,
      moves,
      settings,
    };
  };
  /** moves a place across by as much as the handle */
  const across = (keys: Path, measure: WidthMeasure, at: number): Grip['settings'] => {
    const theta = inTurn(at);
    return (_, y) => {
      const text = shifted(measure, band.z(y) - curve.z(theta), widthAt_(theta));
      return [{ path: ['seams', name, ...keys], text }];
    };
  };
  switch (own.kind) {
    case 'straight':
      return [grip('at', 'seam', 0, 'y', across(['at'], own.at, 0))];
    case 'wave': {
      const { waves, phase } = own;
      const middle = nearTop(-phase / waves, waves);
      const crest = nearTop((Math.PI / 2 - phase) / waves, waves);
      const rest = seamCurve(path);
      return [
        grip('at', 'seam', middle, 'y', across(['at'], own.at, middle)),
        grip('swing', 'swing', crest, 'xy', (x, y) => {
          const by = band.z(y) - curve.z(crest);
          const height = rest.z(crest) - rest.z(middle) + by;
          return [
            { path: ['seams', name, 'amplitude'], text: swing(own.amplitude, height, by, widthAt_(crest)) },
            ...turnedTo(['seams', name, 'phase'], Math.PI / 2 - waves * band.theta(x), phase),
          ];
        }),
      ];
    }
    case 'drift':
      return [
        grip(
          'from',
          'end',
          own.turn - Math.PI / 2,
          'y',
          across(['from'], own.from, own.turn - Math.PI / 2),
          1,
        ),
        grip('to', 'end', own.turn + Math.PI / 2, 'y', across(['to'], own.to, own.turn + Math.PI / 2), 2),
        grip('turn', 'turn', own.turn, 'x', (x) =>
          turnedTo(['seams', name, 'turn'], band.theta(x), own.turn),
        ),
      ];
    case 'peak': {
      const back = own.turn + Math.PI;
      const aside = own.towards === 'second' ? 1 : -1;
      return [
        grip('at', 'seam', back, 'y', across(['at'], own.at, back)),
        grip('height', 'swing', own.turn, 'xy', (x, y) => {
          const by = aside * (band.z(y) - curve.z(own.turn));
          const height = Math.abs(seamCurve(path).z(own.turn) - seamCurve(path).z(back)) + by;
          return [
            { path: ['seams', name, 'height'], text: swing(own.height, height, by, widthAt_(own.turn)) },
            ...turnedTo(['seams', name, 'turn'], band.theta(x), own.turn),
          ];
        }),
      ];
    }
    case 'points':
      return own.through.map((measure, k) => {
        const theta = own.turn + (2 * Math.PI * k) / (own.through.length * own.repeat);
        const place = across(['through', k], measure, theta);
        const whole: Grip['settings'] = (x, y) => [
          ...place(x, y),
          ...turnedTo(['seams', name, 'turn'], band.theta(x), own.turn),
        ];
        return grip(`through.${k}`, 'point', theta, k === 0 ? 'xy' : 'y', k === 0 ? whole : place, k + 1);
      });
  }
}

/** A swing is a height and never below nothing. */
function swing(written: WidthMeasure, height: number, by: number, widthMm: number): string {
  return height <= 0 ? '0 mm' : shifted(written, by, widthMm);
}

/** Of places that come again with each wave the one nearest to the top. */
function nearTop(theta: number, waves: number): number {
  const step = (2 * Math.PI) / waves;
  return theta - step * Math.round(theta / step);
}

function rowGrips({ written, design }: BandSource, band: Unrolled): Grip[] {
  return design.rows.flatMap(({ name, coverage, graduate }) => {
    const stones = band.stones.filter(({ row }) => row === name);
    const own = written.rows[name];
    if (stones.length === 0 || !own) return [];
    const far = ({ middle: [x] }: (typeof stones)[number]) => Math.abs(band.theta(x));
    const sorted = stones.toSorted((a, b) => far(a) - far(b));
    const size = (key: string, said: HandleWords, path: Path, stone: (typeof stones)[number]): Grip => ({
      id: `rows.${name}.${key}`,
      said,
      name,
      moves: 'y',
      x: stone.middle[0],
      y: stone.middle[1] + stone.diameterMm / 2,
      settings: (_, y) => [{ path: ['rows', name, ...path], text: mm(2 * Math.abs(y - stone.middle[1])) }],
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
          { path: ['rows', name, 'coverage'], text: `${degrees(2 * Math.abs(band.theta(x)))} deg` },
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
    settings: (x) => [{ path: ['rows', name, 'coverage', k], text: angle(band.theta(x)) }],
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
          ? shifted(own.across, by, design.widthMm)
          : mm(middleMm + by + design.widthMm / 2);
        return [
          ...turnedTo(['engraving', 'outside', 'at'], band.theta(x), atRad),
          ...(Math.abs(by) < 0.005 ? [] : [{ path: ['engraving', 'outside', 'across'], text: across }]),
        ];
      },
    },
  ];
}
