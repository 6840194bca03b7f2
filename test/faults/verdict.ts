import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { hashTree, type Workshop } from './workshop.ts';

/** What a disturbed run must never do, counted. */
export interface Verdict {
  /** files or artefacts that were there, or should be, and are not */
  lost: number;
  /** files nobody planned, SKUs listed twice, takes traced again although the store had them */
  duplicated: number;
  /** files with other bytes than the undisturbed catalogue's */
  different: number;
  orphans: number;
  temporary: number;
  /** runs that ended otherwise than they should */
  misbehaved: number;
}

export const NOTHING: Verdict = {
  lost: 0,
  duplicated: 0,
  different: 0,
  orphans: 0,
  temporary: 0,
  misbehaved: 0,
};

type Published = Pick<Workshop, 'out' | 'reference'>;

/** Right after a fault: whatever is visible must be the undisturbed catalogue's, items whole or not there. */
export function judgeBroken({
  out,
  reference,
}: Published): Pick<Verdict, 'lost' | 'different'> & { why: string[] } {
  const folder = join(out, 'tiny');
  const why: string[] = [];
  if (!existsSync(folder)) return { lost: 0, different: 0, why };
  const found = new Map([...hashTree(folder)].filter(([name]) => !/\.tmp$/.test(name)));
  let lost = 0;
  let different = 0;
  for (const [name, hash] of found)
    if (reference.get(name) !== hash) {
      different++;
      why.push(`different right after the fault: ${name}`);
    }
  for (const sku of readdirSync(folder).filter((n) => n.startsWith('T-'))) {
    // an item's folder is whole as soon as it is there
    for (const name of reference.keys())
      if (name.startsWith(`${sku}/`) && !found.has(name)) {
        lost++;
        why.push(`missing right after the fault: ${name}`);
      }
  }
  return { lost, different, why };
}

/** After a run to the end: the undisturbed catalogue, byte for byte. */
export function judgeWhole({ out, reference }: Published): Pick<
  Verdict,
  'lost' | 'duplicated' | 'different'
> & {
  why: string[];
} {
  const folder = join(out, 'tiny');
  const found = existsSync(folder) ? hashTree(folder) : new Map<string, string>();
  const why: string[] = [];
  const count = (kind: string, names: string[]) => {
    why.push(...names.map((n) => `${kind}: ${n}`));
    return names.length;
  };
  const lost = count(
    'lost',
    [...reference.keys()].filter((n) => !found.has(n)),
  );
  const extra = count(
    'not planned',
    [...found.keys()].filter((n) => !reference.has(n)),
  );
  const different = count(
    'different',
    [...found].filter(([n, h]) => reference.has(n) && reference.get(n) !== h).map(([n]) => n),
  );
  const skus = found.has('catalogue.json')
    ? (JSON.parse(readFileSync(join(folder, 'catalogue.json'), 'utf8')).items as { sku: string }[]).map(
        (i) => i.sku,
      )
    : [];
  const twice = count(
    'listed twice',
    skus.filter((sku, i) => skus.indexOf(sku) !== i),
  );
  return { lost, duplicated: extra + twice, different, why };
}
