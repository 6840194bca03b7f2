/** The orders of a config as its pages show them: the table as it stands in its file, and what can be ordered. */
import path from 'node:path';
import { distinctBands } from '../artefacts/bands.ts';
import { MOST_ORDER_BYTES, readOrderFile } from '../plan/order-file.ts';
import { columnsOf } from '../plan/orders.ts';
import type { Plan } from '../plan/plan.ts';
import { isMapping } from '../plan/raw-merge.ts';
import { type CatalogueFiles, readText } from '../plan/reading.ts';
import { readYaml } from '../plan/yaml-source.ts';
import type { LookOrders } from './contract.ts';
import { revisionOf } from './revision.ts';

/** Where orders are written that no config names yet. */
const NEW_FILE = 'orders.csv';

export interface OrdersFile {
  /** absolute */
  file: string;
  /** as the config names it; absent where it names none yet */
  named?: string;
  /** undefined where there is no such file */
  bytes?: Uint8Array;
}

/** @throws ProblemError if the config can't be read */
export async function openOrders(configFile: string, files: CatalogueFiles): Promise<OrdersFile> {
  const { raw } = readYaml(await readText(configFile, files), configFile);
  const named = isMapping(raw) && typeof raw.orders === 'string' ? raw.orders : undefined;
  const file = path.resolve(path.dirname(configFile), named ?? NEW_FILE);
  const bytes = await files.read(file, MOST_ORDER_BYTES).catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'ENOENT') return undefined;
    throw error;
  });
  return { file, ...(named ? { named } : {}), ...(bytes ? { bytes } : {}) };
}

/** @param command as it is typed, of a `make` with these flags */
export function orderBook(
  plan: Plan,
  { file, named, bytes }: OrdersFile,
  command: (flags: readonly string[]) => string,
): LookOrders {
  // a table that the config doesn't name is none of its files
  const reading = named && bytes ? readOrderFile(bytes, file) : undefined;
  const fault = reading && 'fault' in reading ? reading : undefined;
  const records = reading && 'records' in reading ? reading.records : [];
  return {
    file,
    ...(bytes ? { revision: revisionOf(bytes) } : {}),
    ...(fault ? { fault: { line: fault.line, received: fault.fault, advice: fault.advice } } : {}),
    rows: records.map(({ line, cells }) => {
      const flags = flagsOf(plan, line);
      const commands = flags && { draft: command([...flags, '--draft']), full: command(flags) };
      return { line, cells, ...(commands ? { commands } : {}) };
    }),
    columns: columnsOf(plan),
    // three bands are ordered one by one
    pairs: plan.pairs.flatMap(({ sku, left, right, third }) =>
      third ? [] : [{ sku, label: `${worn(left.axes)} + ${worn(right.axes)}` }],
    ),
    bands: distinctBands(plan).map(({ sku, axes }) => ({ sku, label: worn(axes) })),
  };
}

const worn = (axes: Readonly<Record<string, string>>) => Object.values(axes).join(', ');

/**
 * What `make` is told to make the proof of the order that begins on a line and no more than that needs: its pair, or its
 * bands. A band that is only another one's partner has no name of its own there, so all is made. Undefined for an order
 * that isn't sound.
 */
export function flagsOf({ proofs, variants }: Plan, line: number): string[] | undefined {
  const order = proofs?.orders.find((o) => o.line === line);
  if (!order) return undefined;
  const skus = [...new Set(order.pair ? [order.pair] : order.bands.map(({ variant }) => variant.sku))];
  const known = order.pair || skus.every((sku) => variants.some((v) => v.sku === sku));
  if (!known) return [];
  return ['--only', skus.length > 1 ? `{${skus.join(',')}}` : skus[0]];
}
