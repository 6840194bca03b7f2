import type { ColourwayLook, FinishLook } from '../model/look.ts';
import type { Dress } from '../plan/plan.ts';
import type { FinishSurface, SubjectColours } from '../scene/take-scene.ts';
import type { GemOptics } from '../scene/trace-scene.ts';
import type { Alloy } from '../trade/alloy.ts';
import { ALLOYS } from '../trade/alloys.ts';
import { alphaFromAfar, FINISHES, type Finish } from '../trade/finishes.ts';
import { STONES, type StoneKind } from '../trade/stones.ts';

/** Table rows behind the ids of a dress. Ids were checked when the config was read. */
function row<T>(table: ReadonlyMap<string, T>, id: string): T {
  const found = table.get(id);
  if (!found) throw new RangeError(`${id} is not in the table; known: ${[...table.keys()].join(', ')}`);
  return found;
}

export const alloyRow = (id: string): Alloy => row(ALLOYS, id);
export const finishRow = (id: string): Finish => row(FINISHES, id);
export const stoneRow = (id: string): StoneKind => row(STONES, id);

/** Whatever the outside wears. */
export const BORE_FINISH = 'polished';

/** What decides paths on a finished surface. */
export function finishSurface(id: string): FinishSurface {
  const { alphaX, alphaY, marks } = finishRow(id);
  return { alphaX, alphaY, ...(marks && { relief: marks }) };
}

/** Refraction of an optics id: the same for every stone that carries it. */
export function gemOptics(opticsId: string): GemOptics {
  for (const s of STONES.values()) {
    if (s.optics === opticsId) return { cauchyA: s.cauchyA, cauchyB: s.cauchyB };
  }
  throw new RangeError(`no stone has the optics ${opticsId}`);
}

/** Of layers both metals; of a body what it gives back below its coat. */
function laneColours({ f0, f82, body, layers }: Alloy): SubjectColours['metals'] {
  if (body) return [{ tones: body.tones }];
  return layers ? layers.metals.map((metal) => ({ f0: metal.f0, f82: metal.f82 })) : [{ f0, f82 }];
}

export function subjectColours(dress: Dress): SubjectColours {
  return {
    metals: dress.alloys.map(alloyRow).flatMap(laneColours),
    gems: dress.stones.map(stoneRow).map(({ absorption }) => ({ absorption })),
  };
}

/** Abbe number of a Cauchy curve: (n_d − 1)/(n_F − n_C), Fraunhofer lines 587.56, 486.13 and 656.27 nm. */
export function abbeNumber({ cauchyA, cauchyB }: GemOptics): number {
  if (cauchyB === 0) return Number.POSITIVE_INFINITY;
  const spread = cauchyB * (1 / 0.48613 ** 2 - 1 / 0.65627 ** 2);
  return (cauchyA + cauchyB / 0.58756 ** 2 - 1) / spread;
}

function finishLook(id: string): FinishLook {
  const { alphaX, alphaY } = alphaFromAfar(finishRow(id));
  // glTF roughness is √α; an anisotropic finish shows as its geometric mean
  return { name: id, roughness: Math.sqrt(Math.sqrt(alphaX * alphaY)) };
}

/** Look of a dress for the 3D model, under the colourway's name. */
export function colourwayLook(name: string, dress: Dress): ColourwayLook {
  return {
    name,
    alloys: dress.alloys.map(alloyRow).map((a) => ({
      name: a.id,
      f0: a.f0,
      // as the eye sees all of it: viewers know neither layers nor rings
      ...(a.body && { coat: a.body.index }),
    })),
    finishes: dress.finishes.map(finishLook),
    bore: finishLook(BORE_FINISH),
    stones: dress.stones.map(stoneRow).map((s) => ({
      name: s.id,
      ior: s.cauchyA + s.cauchyB / 0.58756 ** 2,
      abbe: abbeNumber(s),
      absorption: s.absorption,
    })),
  };
}
