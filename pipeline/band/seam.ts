import type { DriftSeam, PathOf, PointsSeam, SeamKindName, SeamPath, WaveSeam } from '../plan/seam-design.ts';
import { peakCurve } from './peak.ts';
import { splineCurve } from './periodic-spline.ts';
import { levelCurve, type SeamCurve } from './seam-curve.ts';

/** What keeps a path from being a smooth closed curve, and the measure at fault. */
export interface SeamFault {
  code: string;
  measure: string;
  expected: string;
  received: string;
  advice: string;
}

/** What a kind of seam is on a band. How it is written in files is in `plan/seam-kinds.ts`. */
interface SeamKind<Path extends SeamPath> {
  curve(path: Path): SeamCurve;
  faults(path: Path): SeamFault[];
  /** the same, so many mm higher in z */
  raised(path: Path, by: number): Path;
  /** what stays of it when the band is resized, to follow "seam 1" */
  words(path: Path): string;
  /** whole waves that stay whole when the band is resized, about this z (mm); absent for kinds without */
  waves?(path: Path): { periods: number; atMm: number };
}

function raisedAt<Path extends { atMm: number }>(path: Path, by: number): Path {
  return { ...path, atMm: path.atMm + by };
}

const mm = (value: number) => `${value.toFixed(2)} mm`;

const KINDS: { [K in SeamKindName]: SeamKind<PathOf<K>> } = {
  straight: {
    curve: ({ atMm }) => levelCurve(atMm),
    faults: () => [],
    raised: raisedAt,
    words: () => 'straight',
  },
  wave: {
    curve: waveCurve,
    faults: waveFaults,
    raised: raisedAt,
    words: ({ periods, amplitudeMm }) => `of ${periods} waves ${mm(2 * amplitudeMm)} high`,
    waves: ({ periods, atMm }) => ({ periods, atMm }),
  },
  drift: {
    curve: driftCurve,
    faults: () => [],
    raised: (path, by) => ({ ...path, fromMm: path.fromMm + by, toMm: path.toMm + by }),
    words: ({ fromMm, toMm }) => `drifting over ${mm(Math.abs(toMm - fromMm))}`,
  },
  peak: {
    curve: peakCurve,
    faults: () => [],
    raised: raisedAt,
    words: ({ heightMm, spanRad }) =>
      `with a peak of ${mm(Math.abs(heightMm))} over ${((spanRad * 180) / Math.PI).toFixed(0)}°`,
  },
  points: {
    curve: ({ zMm, phaseRad, anglesRad }) => splineCurve(zMm, phaseRad, anglesRad),
    faults: pointsFaults,
    raised: (path, by) => ({ ...path, zMm: path.zMm.map((z) => z + by) }),
    words: ({ zMm }) => `through ${zMm.length} points`,
  },
};

/** The kind of a path: what it is given is always a path of that kind, which the type cannot say. */
function kindOf({ kind }: SeamPath): SeamKind<SeamPath> {
  return KINDS[kind];
}

export function seamCurve(path: SeamPath): SeamCurve {
  return kindOf(path).curve(path);
}

export function raisedPath(path: SeamPath, by: number): SeamPath {
  return kindOf(path).raised(path, by);
}

export function seamFaults(path: SeamPath): SeamFault[] {
  return kindOf(path).faults(path);
}

/** What stays of a seam when its band is resized, in English, to follow "seam 1". */
export function seamWords(path: SeamPath): string {
  return kindOf(path).words(path);
}

/** The whole waves of a seam that has any, about this z (mm). */
export function seamWaves(path: SeamPath): { periods: number; atMm: number } | undefined {
  return kindOf(path).waves?.(path);
}

/** z = mean + half · sin(θ − phase): the slowest curve that crosses over the top and closes. */
function driftCurve({ fromMm, toMm, phaseRad }: DriftSeam): SeamCurve {
  const mean = (fromMm + toMm) / 2;
  const half = (toMm - fromMm) / 2;
  return {
    z: (theta) => mean + half * Math.sin(theta - phaseRad),
    slope: (theta) => half * Math.cos(theta - phaseRad),
    bend: (theta) => -half * Math.sin(theta - phaseRad),
    extremes: [phaseRad - Math.PI / 2, phaseRad + Math.PI / 2],
  };
}

/**
 * z = at + A · asin(k sin x) / asin k with x = nθ + phase and k the sharpness: k → 0 is the sine, k → 1 the
 * zigzag, and for every k < 1 the curve is smooth with straighter flanks and tighter crests.
 */
function waveCurve({ atMm, amplitudeMm, periods, sharpness, phaseRad }: WaveSeam): SeamCurve {
  // below this the sine's error is under 1e-9 of the amplitude, and asin k / k loses no digits
  const k = Math.max(sharpness, 1e-5);
  const scale = amplitudeMm / Math.asin(k);
  const argument = (theta: number) => periods * theta + phaseRad;
  const root = (x: number) => Math.sqrt(1 - (k * Math.sin(x)) ** 2);
  return {
    z: (theta) => atMm + scale * Math.asin(k * Math.sin(argument(theta))),
    slope: (theta) => {
      const x = argument(theta);
      return (scale * periods * k * Math.cos(x)) / root(x);
    },
    bend: (theta) => {
      const x = argument(theta);
      return (-scale * periods * periods * k * (1 - k * k) * Math.sin(x)) / root(x) ** 3;
    },
    extremes: waveExtremes(periods, phaseRad),
  };
}

function waveExtremes(periods: number, phaseRad: number): number[] {
  if (periods === 0) return [];
  return Array.from({ length: 2 * periods }, (_, i) => (Math.PI * (i + 0.5) - phaseRad) / periods);
}

const MAX_SHARPNESS = 0.99;

function waveFaults({ periods, sharpness }: WaveSeam): SeamFault[] {
  const found: SeamFault[] = [];
  if (!(Number.isInteger(periods) && periods >= 1)) {
    const advice = 'Only a whole number of waves closes round the band.';
    const expected = 'a whole number from 1';
    found.push({ code: 'broken-wave', measure: 'waves', expected, received: `${periods}`, advice });
  }
  if (!(sharpness >= 0 && sharpness <= MAX_SHARPNESS)) {
    const advice = 'At 1 the crests would be corners.';
    const expected = `0 to ${MAX_SHARPNESS}`;
    found.push({ code: 'sharp-wave', measure: 'sharpness', expected, received: `${sharpness}`, advice });
  }
  return found;
}

/** Nearer together places would bend a seam more tightly than any tool follows. */
const LEAST_APART_DEG = 2;

function pointsFaults({ zMm, anglesRad }: PointsSeam): SeamFault[] {
  if (zMm.length < 3) {
    const expected = 'at least 3 values round the band';
    const advice = 'Add values, or use a straight seam or a drift.';
    return [{ code: 'few-points', measure: 'through', expected, received: `${zMm.length}`, advice }];
  }
  if (!anglesRad) return [];
  const wrong = (expected: string, received: string, advice: string) => [
    { code: 'point-angles', measure: 'angles', expected, received, advice },
  ];
  if (anglesRad.length !== zMm.length)
    return wrong(
      'an angle for each place',
      `${anglesRad.length} for ${zMm.length}, all repeats counted`,
      'Give as many angles as places, or leave them out.',
    );
  const degrees = anglesRad.map((at) => (at * 180) / Math.PI);
  const i = degrees.findIndex((at, k) => (degrees[k + 1] ?? degrees[0] + 360) - at < LEAST_APART_DEG - 1e-9);
  if (i < 0) return [];
  return wrong(
    `angles that rise by ${LEAST_APART_DEG}° and more, once round or once in each repeat`,
    `${Number((degrees[i + 1] ?? degrees[0] + 360).toFixed(2))}° after ${Number(degrees[i].toFixed(2))}°`,
    'Write them in order round the band, counted from the first place.',
  );
}
