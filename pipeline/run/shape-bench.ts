import type { Report } from '../artefacts/events.ts';
import { SOLID } from '../artefacts/solid.ts';
import { skusOfShape } from '../artefacts/subject.ts';
import type { BuiltShape } from '../band/built-shape.ts';
import { encodeFacts, solidFacts } from '../facts/solid-facts.ts';
import { type BandSource, placedProblem } from '../plan/band-source.ts';
import type { Plan, ShapeKey } from '../plan/plan.ts';
import { formatProblem, ProblemError } from '../problem.ts';
import { buildShape } from '../setting/build-shape.ts';
import type { ArtefactStore } from '../store/artefact-store.ts';
import type { ContentKey } from '../store/content-key.ts';
import type { Work } from './work.ts';

/** Shapes kept ready: neighbouring takes and pairs use the same few. */
const KEEP = 4;

/** Builds shapes when they are first asked for, keeps the latest few, and remembers those that cannot be built. */
export class ShapeBench {
  readonly failed = new Map<ShapeKey, string[]>();
  readonly #plan: Plan;
  readonly #keys: ReadonlyMap<ShapeKey, ContentKey>;
  readonly #store: ArtefactStore;
  readonly #report: Report;
  readonly #ready = new Map<ShapeKey, BuiltShape>();
  readonly #counted = new Set<ShapeKey>();
  readonly #sources: ReadonlyMap<string, BandSource>;

  /** @param sources of bands by SKU, by which problems are told with their place in a file */
  constructor(
    work: Work,
    store: ArtefactStore,
    report: Report,
    sources: ReadonlyMap<string, BandSource> = new Map(),
  ) {
    this.#sources = sources;
    this.#plan = work.plan;
    this.#keys = new Map(work.pieces(SOLID).map(({ shape, key }) => [shape, key]));
    this.#store = store;
    this.#report = report;
  }

  /** The built shape, or undefined if it cannot be built; why is in `failed`. */
  async get(key: ShapeKey): Promise<BuiltShape | undefined> {
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

  async #build(key: ShapeKey): Promise<BuiltShape | undefined> {
    try {
      return await buildShape(this.#plan.shapes[key], undefined, this.#plan.limits);
    } catch (error) {
      if (!(error instanceof ProblemError)) throw error;
      const skus = skusOfShape(this.#plan, key);
      const source = skus.map((sku) => this.#sources.get(sku)).find(Boolean);
      const problems = error.problems.map((p) => formatProblem(placedProblem(p, source)));
      this.failed.set(key, problems);
      this.#report({ event: 'shape-failed', shape: key, skus, problems });
      return undefined;
    }
  }

  async #keep(key: ShapeKey, shape: BuiltShape, seconds: number): Promise<void> {
    this.#ready.set(key, shape);
    const oldest = this.#ready.keys().next().value;
    if (this.#ready.size > KEEP && oldest !== undefined) this.#ready.delete(oldest);
    const facts = solidFacts(shape);
    const artefact = this.#keys.get(key);
    if (artefact !== undefined) await this.#store.put('solid', artefact, encodeFacts(facts));
    if (this.#counted.has(key)) return;
    this.#counted.add(key);
    const stones = facts.rows.reduce((n, r) => n + r.count, 0);
    const { triangles } = facts;
    this.#report({
      event: 'shape',
      shape: key,
      done: this.#counted.size,
      total: this.#keys.size,
      triangles,
      stones,
      seconds,
    });
  }
}
