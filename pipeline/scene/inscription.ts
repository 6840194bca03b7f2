import { Vector3 } from 'three';
import type { BuiltShape } from '../band/built-shape.ts';
import type { HeadsTowards } from '../plan/engraving-design.ts';
import type { PlacedBand } from './pose.ts';

/** What is shown of the bore of a band without letters in it, rad to either side. */
const PLAIN_ARC = 0.6;
/** Longest arc that is shown: beyond it the bore turns away from the camera, rad to either side. */
const LONGEST_ARC = 1.1;
/** Room beside the letters, rad. */
const MARGIN = 0.08;
const STEPS = 24;

function insideOf({ marks }: BuiltShape) {
  return marks?.engravings.find((e) => e.side === 'inside');
}

/** θ that a view into the bore shows: the middle of the letters in it, or the bottom. */
export function inscriptionAngle(shape: BuiltShape): number {
  const letters = insideOf(shape);
  return letters ? (letters.atDeg * Math.PI) / 180 : Math.PI;
}

/** Edge of the band that a view into the bore shows at the back: the one the letters in it stand towards. */
export function inscriptionHeads(shape: BuiltShape): HeadsTowards {
  return insideOf(shape)?.heads ?? 'second';
}

/** Edge that the letters on the outside stand towards. */
export function outsideHeads({ marks }: BuiltShape): HeadsTowards {
  return marks?.engravings.find((e) => e.side === 'outside')?.heads ?? 'first';
}

/** The part of the bore that holds the letters, over the whole width of the band, and the edge's rim behind it. */
export function inscription([band]: readonly PlacedBand[]): Vector3[] {
  const { shape, toWorld } = band;
  const bore = shape.innerDiameterMm / 2;
  const letters = insideOf(shape);
  const half = letters ? Math.min(LONGEST_ARC, letters.lengthMm / 2 / bore + MARGIN) : PLAIN_ARC;
  const middle = inscriptionAngle(shape);
  const { outline, widthMm, thicknessMm } = shape;
  const edges = outline ? [outline.fromZMm, outline.toZMm] : [-widthMm / 2, widthMm / 2];
  const at = (r: number, theta: number, z: number) =>
    new Vector3(r * Math.sin(theta), r * Math.cos(theta), z).applyMatrix4(toWorld);
  return edges.flatMap((z) => [
    at(bore + thicknessMm, middle, z),
    ...Array.from({ length: STEPS + 1 }, (_, i) => at(bore, middle + half * ((2 * i) / STEPS - 1), z)),
  ]);
}
