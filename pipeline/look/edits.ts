import { readFile, realpath, rm, stat } from 'node:fs/promises';
import { type BandSource, keysOf, originOf } from '../plan/band-source.ts';
import { mergeLayers } from '../plan/layers.ts';
import { DISK, readText } from '../plan/reading.ts';
import { templateFields } from '../plan/template-fields.ts';
import { editYaml } from '../plan/yaml-edit.ts';
import { isRefused, ProblemError, type Result } from '../problem.ts';
import { writeDurably } from '../store/durable-file.ts';
import type { Locale } from '../words/locale.ts';
import type { AskedEdit, EditAnswer, EditRequest, LookFile, Origin } from './contract.ts';
import { movedGrip } from './drawing-grips.ts';
import { type Refuse, refusing } from './edit-refusal.ts';
import { idOf } from './fields.ts';
import type { Setting } from './grip.ts';
import { type FileStep, type OrderSubject, type Planned, plannedOrder } from './order-edits.ts';
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
  #done: FileStep[][] = [];
  #undone: FileStep[][] = [];
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
    const refuse = refusing(change, subject.locale);
    const done = this.#readOnly
      ? refuse('read-only', '--read-only')
      : change.kind === 'undo' || change.kind === 'redo'
        ? await this.#goBack(change.kind, refuse)
        : await this.#goOn(await planned(change, files, subject, refuse));
    return isRefused(done) ? { done: false, problems: done.problems } : { done: true, ...done };
  }

  async #goOn(planned: Result<Planned>): Promise<Result<{ origin: Origin }>> {
    if (isRefused(planned)) return planned;
    const steps = planned.steps.filter(({ before, after }) => before !== after);
    if (steps.length > 0) {
      await writeAll(steps);
      this.#done.push(steps);
      this.#undone = [];
    }
    return { origin: planned.origin };
  }

  /** Takes the last edit back, or does it again. */
  async #goBack(kind: 'undo' | 'redo', refuse: Refuse): Promise<Result<object>> {
    const [from, to] = kind === 'undo' ? [this.#done, this.#undone] : [this.#undone, this.#done];
    const steps = from.at(-1);
    if (!steps) return refuse(`no-${kind}`, kind);
    const back = kind === 'undo' ? steps.map(turned).reverse() : steps;
    for (const { file, before } of back)
      if ((await bytesOf(file)) !== before) return refuse('file-changed', file);
    await writeAll(back);
    from.pop();
    to.push(steps);
    return {};
  }
}

async function planned(
  change: Exclude<AskedEdit, { kind: 'undo' | 'redo' }>,
  files: readonly LookFile[],
  { source, orders }: EditSubject,
  refuse: Refuse,
): Promise<Result<Planned>> {
  if (change.kind === 'order' || change.kind === 'no-order')
    return orders ? plannedOrder(change, files, orders, refuse) : refuse('unknown-field', 'none');
  const settings = settingsOf(change, source);
  return settings ? plannedSettings(settings, files, source, refuse) : refuse('unknown-field', 'none');
}

async function plannedSettings(
  settings: readonly Setting[],
  files: readonly LookFile[],
  source: BandSource,
  refuse: Refuse,
): Promise<Result<Planned>> {
  const fields = new Map(templateFields(mergeLayers(source.layers)).map((f) => [idOf(f.path), f]));
  const steps = new Map<string, FileStep & { before: string; after: string }>();
  let origin: Origin | undefined;
  for (const { path, text } of settings) {
    const field = fields.get(idOf(path));
    if (!field) return refuse('unknown-field', 'none');
    if (text.trim() === '') return refuse('empty', 'nothing');
    const value = writtenValue(field, text);
    if (isRefused(value)) return value;
    const at = originOf(source, path);
    const step = steps.get(at.file) ?? (await stepOn(at.file));
    if (!files.some(({ file, revision }) => file === at.file && revision === revisionOf(step.before)))
      return refuse('file-changed', at.file);
    const written = at.limits ? `${value.value} in ${at.limits}` : value.value;
    const edited = editYaml(step.after, at.file, at.path, written);
    if (isRefused(edited)) return edited;
    steps.set(at.file, { ...step, after: edited.text });
    origin ??= { file: at.file, line: edited.line, column: edited.column, path: [...at.path] };
  }
  return origin ? { steps: [...steps.values()], origin } : refuse('unknown-field', 'none');
}

function settingsOf(change: Extract<AskedEdit, { id: string }>, source: BandSource): Setting[] | undefined {
  return change.kind === 'field'
    ? [{ path: keysOf(change.id), text: change.text }]
    : movedGrip(source, change.id, change.x, change.y);
}

async function stepOn(file: string): Promise<FileStep & { before: string; after: string }> {
  const text = await textOf(file);
  return { file, before: text, after: text };
}

const turned = ({ file, before, after }: FileStep): FileStep => ({ file, before: after, after: before });

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
async function writeAll(steps: readonly FileStep[]): Promise<void> {
  const written: FileStep[] = [];
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
