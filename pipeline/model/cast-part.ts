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

/** What everyone who opens a part's file must read before anything else. */
export interface CastLabel extends CastAllowances {
  /** a metal that an ordinary caster cannot melt and pour */
  uncastable?: boolean;
}

/** First words of an STL's header, which has room for 80, and of a 3MF's title: what is in the file already. */
export function labelWording({ shrinkage, polishMm, uncastable }: CastLabel): string {
  const parts = [
    shrinkage > 0 ? `+${percent(shrinkage)}% shrinkage` : 'no shrinkage',
    polishMm > 0 ? `+${polishMm} mm polish` : 'no polish',
  ];
  const any = shrinkage > 0 || polishMm > 0;
  const said = any ? `INCLUDES ${parts.join(', ')}` : 'NO ALLOWANCE in file';
  return `${said};${uncastable ? ' NOT FOR ORDINARY CASTING;' : ''}`;
}

/** The same as the beginning of a file's name: `incl-1.5pct-shrinkage-0.05mm-polish`. */
export function labelName({ shrinkage, polishMm, uncastable }: CastLabel): string {
  const parts = [
    shrinkage > 0 ? `${percent(shrinkage)}pct-shrinkage` : 'no-shrinkage',
    polishMm > 0 ? `${polishMm}mm-polish` : 'no-polish',
  ];
  const any = shrinkage > 0 || polishMm > 0;
  return `${any ? `incl-${parts.join('-')}` : 'no-allowance'}${uncastable ? '-not-for-ordinary-casting' : ''}`;
}

const percent = (share: number) => Number((100 * share).toFixed(3));

/** `+1.5 % for shrinkage, 0.05 mm left for polishing`, or that there is none. */
export function allowanceWording({ shrinkage, polishMm }: CastAllowances): string {
  const shrink = shrinkage > 0 ? `enlarged ${percent(shrinkage)} % for shrinkage` : 'no shrinkage allowance';
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
  allowances: CastLabel,
): Promise<CastPart> {
  const part = await partMesh(shape, lanes);
  const volumeMm3 = lanes.reduce((sum, lane) => sum + shape.lanes[lane].volumeMm3, 0);
  const file = enlarged(part, allowances.shrinkage);
  const label = labelWording(allowances);
  const stl = writeStl(file, `${label} mm; ${title}`);
  const threeMf = write3mf(file, {
    title: `${label} ${title}`,
    description: `${label} ${allowanceWording(allowances)}; mm; ${title}`,
  });
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
  return { volumeMm3, triangles: file.indices.length / 3, pieces: part.pieces.length, stl, threeMf };
}
