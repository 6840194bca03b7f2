import { readFile, realpath, rm, stat } from 'node:fs/promises';
import { type BandSource, keysOf, originOf } from '../plan/band-source.ts';
import { mergeLayers } from '../plan/layers.ts';
import { DISK, readText } from '../plan/reading.ts';
import { templateFields } from '../plan/template-fields.ts';
import { editYaml } from '../plan/yaml-edit.ts';
import { isRefused, type Problem, ProblemError } from '../problem.ts';
import { writeDurably } from '../store/durable-file.ts';
import type { Locale } from '../words/locale.ts';
import type { Change, EditAnswer, EditRequest, LookFile, Origin } from './contract.ts';
import { movedGrip } from './drawing-grips.ts';
import { idOf } from './fields.ts';
import type { Setting } from './grip.ts';
import { type OrderSubject, plannedOrder, type Step } from './order-edits.ts';
import { revisionOf } from './revision.ts';
import { writtenValue } from './written-value.ts';

/** The band whose fields and handles a request means, as it was read last. */
export interface EditSubject {
  source: BandSource;
  locale: Locale;
  /** none where the config stands in no file */
  orders?: OrderSubject;
}

/**
 * Writes edits into the files of a config, one after the other, and takes them back. A file that has another text than
 * the page or the last edit knew is never written.
 */
export class Edits {
  readonly #readOnly: boolean;
  /** whole texts before and after, so that taking back gives the very same bytes */
  #done: Step[][] = [];
  #undone: Step[][] = [];
  #last: Promise<unknown> = Promise.resolve();

  constructor({ readOnly }: { readOnly: boolean }) {
    this.#readOnly = readOnly;
  }

  /** @throws the system's error if a file cannot be read or written; then nothing was changed */
  apply(request: EditRequest, subject: EditSubject): Promise<EditAnswer> {
    const next = this.#last.catch(() => {}).then(() => this.#apply(request, subject));
    this.#last = next;
    return next;
  }

  async #apply({ change, files }: EditRequest, subject: EditSubject): Promise<EditAnswer> {
    const { source, locale, orders } = subject;
    const say = locale.messages.shaping.edits;
    const refuse = (code: keyof typeof say, path: string, received: string): EditAnswer => ({
      done: false,
      problems: [{ code, severity: 'error', path, expected: 'an edit', received, advice: say[code] }],
    });
    if (this.#readOnly) return refuse('read-only', '(file)', '--read-only');
    if (change.kind === 'undo' || change.kind === 'redo') {
      const failed = await this.#goBack(change.kind);
      return failed ? refuse(failed.code, '(file)', failed.received) : { done: true };
    }
    const made =
      change.kind === 'order' || change.kind === 'no-order'
        ? orders && (await plannedOrder(change, files, orders))
        : await this.#planned(settingsOf(change, source), files, source);
    const named = 'id' in change ? change.id : 'orders';
    if (!made) return refuse('unknown-field', named, 'none');
    if ('code' in made) return refuse(made.code, named, made.received);
    if ('problems' in made) return { done: false, problems: made.problems };
    const steps = made.steps.filter(({ before, after }) => before !== after);
    if (steps.length > 0) {
      await writeAll(steps);
      this.#done.push(steps);
      this.#undone = [];
    }
    return { done: true, origin: made.origin };
  }

  /** Takes the last edit back, or does it again; says why not. */
  async #goBack(kind: 'undo' | 'redo') {
    const [from, to] = kind === 'undo' ? [this.#done, this.#undone] : [this.#undone, this.#done];
    const steps = from.at(-1);
    if (!steps) return { code: `no-${kind}`, received: kind } as const;
    const back = kind === 'undo' ? steps.map(turned).reverse() : steps;
    for (const { file, before } of back)
      if ((await bytesOf(file)) !== before) return { code: 'file-changed', received: file } as const;
    await writeAll(back);
    from.pop();
    to.push(steps);
    return undefined;
  }

  /** What is to be written, or why not. */
  async #planned(
    settings: readonly Setting[] | undefined,
    files: readonly LookFile[],
    source: BandSource,
  ): Promise<
    | { steps: Step[]; origin: Origin }
    | { problems: Problem[] }
    | { code: 'file-changed' | 'unknown-field' | 'empty'; received: string }
  > {
    if (!settings) return { code: 'unknown-field', received: 'none' };
    const fields = new Map(templateFields(mergeLayers(source.layers)).map((f) => [idOf(f.path), f]));
    const steps = new Map<string, Step & { before: string; after: string }>();
    let origin: Origin | undefined;
    for (const { path, text } of settings) {
      const field = fields.get(idOf(path));
      if (!field) return { code: 'unknown-field', received: 'none' };
      if (text.trim() === '') return { code: 'empty', received: 'nothing' };
      const value = writtenValue(field, text);
      if (isRefused(value)) return value;
      const at = originOf(source, path);
      const step = steps.get(at.file) ?? (await stepOn(at.file));
      if (!files.some(({ file, revision }) => file === at.file && revision === revisionOf(step.before)))
        return { code: 'file-changed', received: at.file };
      const written = at.limits ? `${value.value} in ${at.limits}` : value.value;
      const edited = editYaml(step.after, at.file, at.path, written);
      if (isRefused(edited)) return edited;
      steps.set(at.file, { ...step, after: edited.text });
      origin ??= { file: at.file, line: edited.line, column: edited.column, path: [...at.path] };
    }
    return origin ? { steps: [...steps.values()], origin } : { code: 'unknown-field', received: 'none' };
  }
}

function settingsOf(change: Extract<Change, { id: string }>, source: BandSource): Setting[] | undefined {
  return change.kind === 'field'
    ? [{ path: keysOf(change.id), text: change.text }]
    : movedGrip(source, change.id, change.x, change.y);
}

async function stepOn(file: string): Promise<Step & { before: string; after: string }> {
  const text = await textOf(file);
  return { file, before: text, after: text };
}

const turned = ({ file, before, after }: Step): Step => ({ file, before: after, after: before });

/** Undefined where there is no such file. Byte order marks are kept, which readers of YAML drop. */
async function bytesOf(file: string): Promise<string | undefined> {
  return readFile(file, 'utf8').catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'ENOENT') return undefined;
    throw error;
  });
}

async function textOf(file: string): Promise<string> {
  try {
    return await readText(file, DISK);
  } catch (error) {
    const received = error instanceof Error ? error.message : String(error);
    const expected = 'a file that can be read';
    const advice = `Check ${file}.`;
    throw new ProblemError([
      { code: 'unreadable-file', severity: 'error', path: '(file)', expected, received, advice },
    ]);
  }
}

/** All files or none: what was written before one that cannot be is put back. A link stays a link. */
async function writeAll(steps: readonly Step[]): Promise<void> {
  const written: Step[] = [];
  try {
    for (const step of steps) {
      await write(step.file, step.after);
      written.push(step);
    }
  } catch (error) {
    for (const { file, before } of written) await write(file, before);
    throw error;
  }
}

/** New files are for their owner alone: they hold orders. */
const CLOSED = 0o600;

async function write(file: string, text: string | undefined): Promise<void> {
  if (text === undefined) return rm(file);
  const there = await stat(file).catch(() => undefined);
  await writeDurably(there ? await realpath(file) : file, text, there ? there.mode & 0o777 : CLOSED);
}
