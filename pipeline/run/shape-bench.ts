import type { BuiltShape } from '../band/built-shape.ts';
import { encodeFacts, solidFacts } from '../facts/solid-facts.ts';
import type { Plan } from '../plan/plan.ts';
import { formatProblem, ProblemError } from '../problem.ts';
import { buildShape } from '../setting/build-shape.ts';
import type { ArtefactStore } from '../store/artefact-store.ts';
import type { Report } from './events.ts';
import type { Work } from './work.ts';

/** Shapes kept ready: neighbouring takes and pairs use the same few. */
const KEEP = 4;

/** Builds shapes when they are first asked for, keeps the latest few, and remembers those that cannot be built. */
export class ShapeBench {
  readonly failed = new Map<string, string[]>();
  readonly #plan: Plan;
  readonly #solids: Record<string, string>;
  readonly #store: ArtefactStore;
  readonly #report: Report;
  readonly #ready = new Map<string, BuiltShape>();
  readonly #counted = new Set<string>();
  readonly #total: number;

  constructor(work: Work, store: ArtefactStore, report: Report, total: number) {
    this.#plan = work.plan;
    this.#solids = work.solids;
    this.#store = store;
    this.#report = report;
    this.#total = total;
  }

  /** The built shape, or undefined if it cannot be built; why is in `failed`. */
  async get(key: string): Promise<BuiltShape | undefined> {
    const ready = this.#ready.get(key);
    if (ready) {
      this.#ready.delete(key);
      this.#ready.set(key, ready);
      return ready;
    }
    if (this.failed.has(key)) return undefined;
    const start = performance.now();
    const shape = await this.#build(key);
    // a store that cannot be written is no fault of the shape and ends the run
    if (shape) await this.#keep(key, shape, (performance.now() - start) / 1000);
    return shape;
  }

  async #build(key: string): Promise<BuiltShape | undefined> {
    try {
      return await buildShape(this.#plan.shapes[key], undefined, this.#plan.limits);
    } catch (error) {
      if (!(error instanceof ProblemError)) throw error;
      const problems = error.problems.map(formatProblem);
      this.failed.set(key, problems);
      this.#report({ event: 'shape-failed', shape: key, skus: skusOf(this.#plan, key), problems });
      return undefined;
    }
  }

  async #keep(key: string, shape: BuiltShape, seconds: number): Promise<void> {
    this.#ready.set(key, shape);
    const oldest = this.#ready.keys().next().value;
    if (this.#ready.size > KEEP && oldest !== undefined) this.#ready.delete(oldest);
    const facts = solidFacts(shape);
    await this.#store.put('solid', this.#solids[key], encodeFacts(facts));
    if (this.#counted.has(key)) return;
    this.#counted.add(key);
    const stones = facts.rows.reduce((n, r) => n + r.count, 0);
    const { triangles } = facts;
    this.#report({
      event: 'shape',
      shape: key,
      done: this.#counted.size,
      total: this.#total,
      triangles,
      stones,
      seconds,
    });
  }
}

/** SKUs of all variants and pairs that need a shape. */
export function skusOf(plan: Plan, shape: string): string[] {
  return [
    ...plan.variants.filter((v) => v.shape === shape).map((v) => v.sku),
    ...plan.pairs.filter((p) => p.left.shape === shape || p.right.shape === shape).map((p) => p.sku),
  ];
}
