/** Handles of seams in the unrolled drawing, kind by kind. */
import { widthCurve } from '../band/outline.ts';
import { seamCurve } from '../band/seam.ts';
import type { SeamCurve } from '../band/seam-curve.ts';
import type { Unrolled } from '../papers/unrolled.ts';
import type { BandSource } from '../plan/band-source.ts';
import type { WidthMeasure } from '../plan/measure.ts';
import type { SeamDesign } from '../plan/seam-design.ts';
import type { FieldPath } from '../plan/yaml-source.ts';
import type { Handle } from './contract.ts';
import { type Grip, type HandleWords, inDegrees, inTurn, shiftedText, turnedTo } from './grip.ts';

export function seamGrips({ written, design }: BandSource, band: Unrolled): Grip[] {
  const widthAt = widthCurve(design).z;
  return design.seams.flatMap((seam, i) => {
    const name = seam.name ?? '';
    const own = written.seams[name];
    return own ? ofSeam(own, new SeamHandles(name, seam, band.lanes[i].high.curve, band, widthAt)) : [];
  });
}

type Written = BandSource['written']['seams'][string];
type WrittenOf<K extends Written['kind']> = Extract<Written, { kind: K }>;

/** What handles of one seam have in common: where it runs, and what moving them writes. */
class SeamHandles {
  constructor(
    readonly name: string,
    private readonly path: SeamDesign,
    private readonly curve: SeamCurve,
    readonly band: Unrolled,
    /** of the band at an angle: shares of a tapered band are of that */
    private readonly widthAt: (theta: number) => number,
  ) {}

  grip(
    key: string,
    said: HandleWords,
    at: number,
    moves: Handle['moves'],
    settings: Grip['settings'],
    number?: number,
  ): Grip {
    const { name, band, curve } = this;
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
  }

  /** moves a place across by as much as the handle */
  across(keys: FieldPath, measure: WidthMeasure, at: number): Grip['settings'] {
    const theta = inTurn(at);
    return (_, y) => {
      const text = shiftedText(measure, this.band.z(y) - this.curve.z(theta), this.widthAt(theta));
      return [{ path: ['seams', this.name, ...keys], text }];
    };
  }

  /** Writes a swing which stands at one angle and is measured from another, both as the seam would run by itself. */
  swung(key: string, measure: WidthMeasure, at: number, from: number, aside: 1 | -1, y: number) {
    const rest = seamCurve(this.path);
    const by = aside * (this.band.z(y) - this.curve.z(at));
    const height = aside * (rest.z(at) - rest.z(from)) + by;
    return { path: ['seams', this.name, key], text: swing(measure, height, by, this.widthAt(at)) };
  }

  /** Writes an angle that is counted from another, rising within a turn. */
  angled(keys: FieldPath, x: number, from: number, before: number) {
    const path = ['seams', this.name, ...keys];
    const turn = 2 * Math.PI;
    const rising = (((this.band.theta(x) - from) % turn) + turn) % turn;
    return turnedTo(path, this.band.theta(x), before).map(() => ({ path, text: `${inDegrees(rising)} deg` }));
  }

  turned(key: string, now: number, before: number) {
    return turnedTo(['seams', this.name, key], now, before);
  }
}

function ofSeam(own: Written, seam: SeamHandles): Grip[] {
  switch (own.kind) {
    case 'straight':
      return [seam.grip('at', 'seam', 0, 'y', seam.across(['at'], own.at, 0))];
    case 'wave':
      return waveGrips(own, seam);
    case 'drift':
      return driftGrips(own, seam);
    case 'peak':
      return peakGrips(own, seam);
    case 'points':
      return pointGrips(own, seam);
  }
}

function waveGrips({ waves, phase, at, amplitude }: WrittenOf<'wave'>, seam: SeamHandles): Grip[] {
  const middle = nearTop(-phase / waves, waves);
  const crest = nearTop((Math.PI / 2 - phase) / waves, waves);
  return [
    seam.grip('at', 'seam', middle, 'y', seam.across(['at'], at, middle)),
    seam.grip('swing', 'swing', crest, 'xy', (x, y) => [
      seam.swung('amplitude', amplitude, crest, middle, 1, y),
      ...seam.turned('phase', Math.PI / 2 - waves * seam.band.theta(x), phase),
    ]),
  ];
}

function driftGrips({ from, to, turn }: WrittenOf<'drift'>, seam: SeamHandles): Grip[] {
  const [begins, ends] = [turn - Math.PI / 2, turn + Math.PI / 2];
  return [
    seam.grip('from', 'end', begins, 'y', seam.across(['from'], from, begins), 1),
    seam.grip('to', 'end', ends, 'y', seam.across(['to'], to, ends), 2),
    seam.grip('turn', 'turn', turn, 'x', (x) => seam.turned('turn', seam.band.theta(x), turn)),
  ];
}

function peakGrips({ at, height, turn, towards }: WrittenOf<'peak'>, seam: SeamHandles): Grip[] {
  const back = turn + Math.PI;
  const aside = towards === 'second' ? 1 : -1;
  return [
    seam.grip('at', 'seam', back, 'y', seam.across(['at'], at, back)),
    seam.grip('height', 'swing', turn, 'xy', (x, y) => [
      seam.swung('height', height, turn, back, aside, y),
      ...seam.turned('turn', seam.band.theta(x), turn),
    ]),
  ];
}

/** The first point carries all the others round with it, one that has an angle of its own moves by itself. */
function pointGrips({ through, angles, repeat, turn }: WrittenOf<'points'>, seam: SeamHandles): Grip[] {
  return through.map((measure, k) => {
    const theta = turn + (angles?.[k] ?? (2 * Math.PI * k) / (through.length * repeat));
    const place = seam.across(['through', k], measure, theta);
    const whole: Grip['settings'] = (x, y) => [
      ...place(x, y),
      ...seam.turned('turn', seam.band.theta(x), turn),
    ];
    const round: Grip['settings'] = (x, y) => [...place(x, y), ...seam.angled(['angles', k], x, turn, theta)];
    const moved = k === 0 ? whole : angles ? round : place;
    return seam.grip(`through.${k}`, 'point', theta, moved === place ? 'y' : 'xy', moved, k + 1);
  });
}

/** A swing is a height and never below nothing. */
function swing(written: WidthMeasure, height: number, by: number, widthMm: number): string {
  return height <= 0 ? '0 mm' : shiftedText(written, by, widthMm);
}

/** Of places that come again with each wave the one nearest to the top. */
function nearTop(theta: number, waves: number): number {
  const step = (2 * Math.PI) / waves;
  return theta - step * Math.round(theta / step);
}
