import type { BuiltShape } from '../band/built-shape.ts';
import { enlarged, partMesh } from './part-mesh.ts';
import { stlVolume, writeStl } from './stl.ts';
import { volumeOf3mf, write3mf } from './three-mf.ts';

/** What the caster's files carry beyond the finished band; 0 is none. */
export interface CastAllowances {
  /** linear: files are this much larger than the casting is to be */
  shrinkage: number;
  /** metal left on outside, bore and faces, mm; already in the solids handed over */
  polishMm: number;
}

export interface CastPart {
  /** of the casting when cold, mm³: before the shrinkage allowance */
  volumeMm3: number;
  triangles: number;
  pieces: number;
  stl: Uint8Array;
  threeMf: Uint8Array;
}

/** Files and solids may differ by what 32-bit floats lose. */
const VOLUME_TOLERANCE = 1e-5;

/** `+1.5 % for shrinkage, 0.05 mm left for polishing`, or that there is none. */
export function allowanceWording({ shrinkage, polishMm }: CastAllowances): string {
  const shrink =
    shrinkage > 0
      ? `enlarged ${Number((100 * shrinkage).toFixed(3))} % for shrinkage`
      : 'no shrinkage allowance';
  const polish = polishMm > 0 ? `${polishMm} mm left for polishing` : 'no polishing allowance';
  return `${shrink}, ${polish}`;
}

/**
 * One alloy's lanes as STL and 3MF, each read back and weighed against the solid.
 * @param shape built with the polishing allowance
 * @throws Error if a file does not hold the solid's volume
 */
export async function castPart(
  shape: BuiltShape,
  lanes: readonly number[],
  title: string,
  allowances: CastAllowances,
): Promise<CastPart> {
  const part = await partMesh(shape, lanes);
  const volumeMm3 = lanes.reduce((sum, lane) => sum + shape.lanes[lane].volumeMm3, 0);
  const file = enlarged(part, allowances.shrinkage);
  const description = `${title}; mm; ${allowanceWording(allowances)}`;
  const stl = writeStl(file, title);
  const threeMf = write3mf(file, { title, description });
  const expected = volumeMm3 * (1 + allowances.shrinkage) ** 3;
  for (const [kind, volume] of [
    ['STL', stlVolume(stl)],
    ['3MF', volumeOf3mf(threeMf)],
  ] as const) {
    // lanes that were united overlap by what their triangles differ along the seam
    const tolerance = lanes.length > 1 ? 1e-3 : VOLUME_TOLERANCE;
    if (!(Math.abs(volume / expected - 1) < tolerance))
      throw new Error(
        `expected ${expected.toFixed(4)} mm³ in the ${kind} of ${title} but read ${volume.toFixed(4)}`,
      );
  }
  return { volumeMm3, triangles: file.indices.length / 3, pieces: part.pieces, stl, threeMf };
}
