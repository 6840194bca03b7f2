/**
 * Runs that make an order's proof, one at a time: the very command that anybody could type, in a process of its own that
 * a page may start and stop and hears of.
 */
import type { ChildProcess } from 'node:child_process';
import { stat } from 'node:fs/promises';
import path from 'node:path';
import { createInterface } from 'node:readline';
import type { RunEvent } from '../artefacts/events.ts';
import { orderName } from '../artefacts/proof-subject.ts';
import type { OrderPlan } from '../plan/client-plan.ts';
import type { Plan } from '../plan/plan.ts';
import { privateFolder } from '../publish/private-folder.ts';
import { draftPlan } from '../run/draft.ts';
import type { ProofRun } from './contract.ts';
import { flagsOf } from './order-book.ts';

/** How this installation's `make` is called; the command line knows. */
export interface MakeCommand {
  /** as it is typed, for the config with these flags */
  told(flags: readonly string[]): string;
  /** its events come as lines of JSON on the output, what it says on the other */
  start(flags: readonly string[]): ChildProcess;
  /** of its catalogues */
  out: string;
}

/** Characters of what a failed run said last. */
const MOST_SAID = 1500;

export class ProofRuns {
  private readonly command: MakeCommand;
  private readonly listeners = new Set<(run: ProofRun) => void>();
  private child: ChildProcess | undefined;
  latest: ProofRun | undefined;

  constructor(command: MakeCommand) {
    this.command = command;
  }

  onChange(listener: (run: ProofRun) => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  /** @returns false while another one is made, or if no sound order begins on that line */
  start(plan: Plan, line: number, draft: boolean): boolean {
    const order = plan.proofs?.orders.find((o) => o.line === line);
    const flags = flagsOf(plan, line);
    if (this.child || !order || !flags) return false;
    const child = this.command.start([...flags, ...(draft ? ['--draft'] : []), '--json']);
    this.child = child;
    this.tell({
      order: order.id,
      draft,
      state: 'running',
      step: 'begin',
      done: 0,
      of: 0,
      files: [],
      why: '',
    });
    let said = '';
    child.stderr?.setEncoding('utf8').on('data', (text: string) => {
      said = (said + text).slice(-MOST_SAID);
    });
    if (child.stdout)
      createInterface({ input: child.stdout }).on('line', (text) => {
        // set-up may say something before
        if (text.startsWith('{')) this.hear(JSON.parse(text));
      });
    child.once('error', (error) => this.ended(child, 'failed', [], error.message));
    child.once('close', async (code) => {
      const files = await this.filesOf(draft ? draftPlan(plan) : plan, order);
      const stopped = this.stopping && code !== 0;
      this.ended(child, code === 0 ? 'done' : stopped ? 'stopped' : 'failed', files, said.trim());
    });
    return true;
  }

  /** As Ctrl+C does: what is traced so far is kept. */
  stop(): void {
    if (!this.child) return;
    this.stopping = true;
    this.child.kill('SIGINT');
  }

  private stopping = false;

  private hear(event: RunEvent) {
    const { latest } = this;
    if (!latest) return;
    if (event.event === 'shape') this.tell({ ...latest, step: 'solids', done: event.done, of: event.total });
    if (event.event === 'take-start')
      this.tell({ ...latest, step: 'pictures', done: event.index - 1, of: event.total });
    if (event.event === 'take-done')
      this.tell({ ...latest, step: 'pictures', done: Math.min(latest.of, latest.done + 1) });
    if (event.event === 'proof') this.tell({ ...latest, step: 'papers', done: 0, of: 0 });
  }

  private ended(child: ChildProcess, state: ProofRun['state'], files: string[], said: string): void {
    if (this.child !== child || !this.latest) return;
    this.child = undefined;
    this.stopping = false;
    this.tell({ ...this.latest, state, files, why: state === 'failed' ? said : '' });
  }

  private async filesOf(plan: Plan, order: OrderPlan): Promise<string[]> {
    const folder = path.join(privateFolder(path.join(this.command.out, plan.catalogue)), 'proofs');
    const name = orderName(plan, order);
    const papers = (plan.proofs?.papers ?? []).map((paper) => `${name}-${paper}.pdf`);
    const files = [`${name}.html`, ...papers].map((file) => path.join(folder, file));
    const there = await Promise.all(files.map((file) => stat(file).catch(() => undefined)));
    return files.filter((_, i) => there[i]);
  }

  private tell(run: ProofRun): void {
    this.latest = run;
    for (const listener of this.listeners) listener(run);
  }
}
