/** What a plan asks for beside takes and pictures, how much of it is there, and what the rest will cost. */
import { join } from 'node:path';
import type { AnyKind, Foresight } from '../artefacts/kind.ts';
import { KINDS } from '../artefacts/kinds.ts';
import { readPublished } from './published-record.ts';
import { lookInto, type Survey } from './survey.ts';
import type { Workplace } from './workplace.ts';

export interface PieceForecast {
  kind: string;
  /** how many of it are called; absent where another line tells of it */
  label?: string;
  total: number;
  /**
   * there already. Bench sheets and proofs follow from facts of solids, which a forecast does not build: of those it counts
   * what an earlier run left, unless solids are to be built anew
   */
  cached: number;
  /** for those that are not */
  predictedSeconds: number;
  /** of all of them, in the store and in the catalogue */
  predictedBytes: number;
  /** whether the cost was measured on this machine */
  measured: boolean;
}

export async function forecastBeside(
  { work, store, costs }: Workplace,
  survey: Survey,
  out: string,
): Promise<PieceForecast[]> {
  const { plan, pieces } = work;
  const lacking = new Set(survey.shapes);
  const foresight: Foresight = {
    ...lookInto(store),
    asked: () => false,
    plan,
    catalogueFolder: join(out, plan.catalogue),
    published: (await readPublished(out, plan.catalogue))?.uses ?? [],
    lacksShape: (shape) => lacking.has(shape),
  };
  const told: PieceForecast[] = [];
  for (const kind of KINDS as readonly AnyKind[])
    for (const { name, label, copies, count = () => 1 } of kind.costs ?? []) {
      const sum = (some: readonly unknown[]) => some.reduce<number>((n, piece) => n + count(piece, plan), 0);
      const total = sum(pieces(kind));
      if (total === 0) continue;
      const cached = kind.there
        ? await kind.there(pieces(kind), foresight)
        : total - sum(survey.missing(kind));
      const { seconds, bytes, measured } = costs.piece(name);
      told.push({
        kind: name,
        ...(label === undefined ? {} : { label }),
        total,
        cached,
        predictedSeconds: (total - cached) * seconds,
        predictedBytes: Math.round(total * bytes * copies),
        measured,
      });
    }
  return told;
}
