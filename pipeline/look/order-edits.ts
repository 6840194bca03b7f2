/** What an edit of an order writes: its line in the table and, for the first one, the config's line that names the table. */
import path from 'node:path';
import { proveLetters } from '../artefacts/letter-faults.ts';
import type { OrderPlan } from '../plan/client-plan.ts';
import { Findings } from '../plan/findings.ts';
import { editOrders, type OrderChange } from '../plan/order-edit.ts';
import { readOrders } from '../plan/orders.ts';
import type { Plan } from '../plan/plan.ts';
import { DISK } from '../plan/reading.ts';
import { editYaml } from '../plan/yaml-edit.ts';
import { isRefused, type Problem, ProblemError, type Result } from '../problem.ts';
import type { AskedEdit, LookFile, Origin } from './contract.ts';
import type { Refuse } from './edit-refusal.ts';
import { openOrders } from './order-book.ts';
import { revisionOf } from './revision.ts';

/** What orders choose from. */
export interface OrderSubject {
  configFile: string;
  plan: Plan;
}

/** A file's text before and after; none where there was no such file or is to be none. */
export interface FileStep {
  file: string;
  before: string | undefined;
  after: string | undefined;
}

/** What an edit writes, and where its value then stands. */
export interface Planned {
  steps: FileStep[];
  origin: Origin;
}

/** @throws ProblemError if the config can't be read */
export async function plannedOrder(
  change: Extract<AskedEdit, { kind: 'order' | 'no-order' }>,
  seen: readonly LookFile[],
  { configFile, plan }: OrderSubject,
  refuse: Refuse,
): Promise<Result<Planned>> {
  const { file, named, bytes } = await openOrders(configFile, DISK);
  const revision = bytes && revisionOf(bytes);
  if (seen.find((f) => f.file === file)?.revision !== revision) return refuse('file-changed', file);
  // its lines would all become orders
  if (!named && bytes) return refuse('orders-unnamed', file);
  const before = bytes && textOf(bytes);
  const wanted: OrderChange =
    change.kind === 'order' ? { line: change.line, cells: change.cells } : { line: change.line };
  const edited = editOrders(before ?? '', file, wanted);
  if (isRefused(edited)) return edited;
  const { text, line } = edited;
  if (change.kind === 'order') {
    const problems = await faultsOf({ file, before, after: text, line }, plan);
    if (problems.length > 0) return { problems: [...problems] };
  }
  const steps: FileStep[] = [{ file, before, after: text }];
  if (!named) {
    const config = await namedIn(configFile, path.basename(file), seen, refuse);
    if (isRefused(config)) return config;
    steps.push(config);
  }
  return { steps, origin: { file, line, column: 1, path: ['orders'] } };
}

/** With the byte order mark that spreadsheets write. */
const textOf = (bytes: Uint8Array) => new TextDecoder('utf-8', { ignoreBOM: true }).decode(bytes);

/** The config with the line that names the table. */
async function namedIn(
  configFile: string,
  name: string,
  seen: readonly LookFile[],
  refuse: Refuse,
): Promise<Result<FileStep>> {
  const before = textOf(await DISK.read(configFile, 4e6));
  if (seen.find((f) => f.file === configFile)?.revision !== revisionOf(before))
    return refuse('file-changed', configFile);
  const edited = editYaml(before, configFile, ['orders'], name);
  return isRefused(edited) ? edited : { file: configFile, before, after: edited.text };
}

interface Written {
  file: string;
  before: string | undefined;
  after: string;
  /** on which the order begins */
  line: number;
}

/** What the plan would refuse of the order, its letters too; other orders may be as wrong as they were before. */
async function faultsOf({ file, before, after, line }: Written, plan: Plan): Promise<readonly Problem[]> {
  const now = await ordersIn(file, after, plan);
  const others = before === undefined ? 0 : (await ordersIn(file, before, plan)).problems.length;
  const own = now.problems.filter(({ place }) => place?.line === line);
  if (own.length > 0) return own;
  if (now.problems.length > others) return now.problems;
  const order = now.orders.find((o) => o.line === line);
  if (!order?.bands.some((band) => band.engraved)) return [];
  const alone = { ...plan, proofs: { pairs: false, papers: [], options: [], orders: [order] } };
  try {
    await proveLetters(alone);
    return [];
  } catch (error) {
    if (!(error instanceof ProblemError)) throw error;
    return error.problems;
  }
}

async function ordersIn(
  file: string,
  text: string,
  plan: Plan,
): Promise<{ orders: OrderPlan[]; problems: readonly Problem[] }> {
  const findings = new Findings(() => ({ file, line: 1, column: 1 }));
  const files = { ...DISK, read: async () => Buffer.from(text) };
  const orders = await readOrders(file, '/', plan, files, findings);
  return { orders, problems: findings.errors };
}
