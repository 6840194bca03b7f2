import { stat } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import {
  type CurrentProof,
  type OrderStanding,
  type OrderState,
  orderStandings,
  type ReplyFile,
  type ReplyNote,
} from '../papers/order-standing.ts';
import { readPlan } from '../plan/read-plan.ts';
import { privateFolder, repliesFolder } from '../publish/private-folder.ts';
import { readReplies } from '../publish/reply-folder.ts';
import { madeProofs, plannedProofs } from '../run/order-proofs.ts';
import { EXIT } from './exit.ts';
import { withOutput } from './output-folder.ts';
import type { Streams } from './progress.ts';
import { CliError, parseCommand } from './usage.ts';

const OPTIONS = {
  out: { type: 'string' },
  replies: { type: 'string' },
  json: { type: 'boolean', default: false },
} as const;

/**
 * Says how each order stands by what couples replied. Names and wishes are not told: they stay in the replies. Exit 1 if a
 * reply cannot be read.
 */
export async function orders(args: readonly string[], { out, err }: Streams): Promise<number> {
  const { values, config } = withOutput(parseCommand(args, OPTIONS, 'config file or catalogue folder'));
  const { proofs, folder } = await currentProofs(config, values.out);
  const files = await repliesIn(values.replies, folder);
  const now = new Date();
  const today = new Date(now.getTime() - 60_000 * now.getTimezoneOffset()).toISOString().slice(0, 10);
  const standings = orderStandings(proofs, files, today);
  if (values.json) out.write(`${JSON.stringify({ today, ...standings }, undefined, 2)}\n`);
  else {
    out.write(describe(standings.orders));
    for (const note of standings.notes) err.write(`${noteLine(note)}\n`);
  }
  return standings.notes.some(({ problem }) => problem === 'unreadable') ? EXIT.failed : EXIT.ok;
}

async function currentProofs(
  given: string,
  out: string,
): Promise<{ proofs: CurrentProof[]; folder: string }> {
  const place = resolve(given);
  if ((await stat(place).catch(() => undefined))?.isDirectory()) {
    const folder = privateFolder(place);
    if (!(await stat(folder).catch(() => undefined)))
      throw new CliError(
        `expected a catalogue with a private folder beside it, ${folder}, but there is none; make the catalogue with "orders" in its config first`,
      );
    return { proofs: await madeProofs(folder), folder };
  }
  const { plan } = await readPlan(given);
  if (!plan.proofs || plan.proofs.orders.length === 0)
    throw new CliError(
      `expected a config with orders but ${given} names none; see "orders" in the configs' README`,
    );
  const folder = privateFolder(join(out, plan.catalogue));
  return { proofs: await plannedProofs(plan, out, folder), folder };
}

async function repliesIn(given: string | undefined, folder: string): Promise<ReplyFile[]> {
  const place = given === undefined ? repliesFolder(folder) : resolve(given);
  try {
    return await readReplies(place);
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (given === undefined && code === 'ENOENT') return [];
    throw new CliError(`--replies: expected a folder that can be read but received ${place} (${code})`);
  }
}

const STATES: Record<OrderState, string> = {
  approved: 'approved',
  changes: 'wants changes',
  changed: 'changed since',
  expired: 'expired',
  open: 'no reply yet',
  unmade: 'no proof',
};

function describe(orders: readonly OrderStanding[]): string {
  const order = Math.max(0, ...orders.map((o) => o.order.length));
  const state = Math.max(...Object.values(STATES).map((s) => s.length));
  const lines = orders.map((o) =>
    `${printable(o.order).padEnd(order)}  ${STATES[o.state].padEnd(state)}  ${[
      ...(o.signed ? [`signed ${o.signed} by ${o.names}, ${o.reply}`] : []),
      ...(o.expires ? [`offer until ${o.expires}`] : []),
      ...(o.delivery ? [`ready by ${o.delivery}`] : []),
      ...(o.why ? [o.why] : []),
    ].join('; ')}`.trimEnd(),
  );
  const counts = (Object.keys(STATES) as OrderState[]).flatMap((s) => {
    const count = orders.filter((o) => o.state === s).length;
    return count > 0 ? [`${count} ${STATES[s]}`] : [];
  });
  return `${[...lines, `${orders.length} ${orders.length === 1 ? 'order' : 'orders'}${counts.length > 0 ? `: ${counts.join(', ')}` : ''}`].join('\n')}\n`;
}

/** A number may hold anything, and a terminal obeys some of it. */
const printable = (text: string) => text.replace(/\p{Cc}/gu, '?');

const noteLine = ({ file, problem, message }: ReplyNote) => `${file}: ${problem}: ${message}`;
