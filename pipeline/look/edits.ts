import { createHash } from 'node:crypto';
import { realpath, stat } from 'node:fs/promises';
import { type BandSource, keysOf, originOf } from '../plan/band-source.ts';
import { mergeLayers } from '../plan/layers.ts';
import { DISK, readText } from '../plan/reading.ts';
import { templateFields } from '../plan/template-fields.ts';
import { editYaml } from '../plan/yaml-edit.ts';
import { isRefused, type Problem, ProblemError } from '../problem.ts';
import { writeDurably } from '../store/durable-file.ts';
import type { Locale } from '../words/locale.ts';
import type { EditAnswer, EditRequest, LookFile, Origin } from './contract.ts';
import { movedGrip } from './drawing-grips.ts';
import { idOf } from './fields.ts';
import type { Setting } from './grip.ts';
import { writtenValue } from './written-value.ts';

/** The band whose fields and handles a request means, as it was read last. */
export interface EditSubject {
  source: BandSource;
  locale: Locale;
}

/** Whole texts before and after, so that taking back gives the very same bytes. */
interface Step {
  file: string;
  before: string;
  after: string;
}

/** Of a file's text; an edit names the one that it was meant for. */
export function revisionOf(text: string | Uint8Array): string {
  return createHash('sha256').update(text).digest('hex');
}

/**
 * Writes edits into the files of a config, one after the other, and takes them back. A file that has another text than
 * the page or the last edit knew is never written.
 */
export class Edits {
  readonly #readOnly: boolean;
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

  async #apply({ change, files }: EditRequest, { source, locale }: EditSubject): Promise<EditAnswer> {
    const say = locale.messages.shaping.edits;
    const refuse = (code: keyof typeof say, path: string, received: string): EditAnswer => ({
      done: false,
      problems: [{ code, severity: 'error', path, expected: 'an edit', received, advice: say[code] }],
    });
    if (this.#readOnly) return refuse('read-only', '(file)', '--read-only');
    if (change.kind === 'undo' || change.kind === 'redo') {
      const [from, to] = change.kind === 'undo' ? [this.#done, this.#undone] : [this.#undone, this.#done];
      const steps = from.at(-1);
      if (!steps) return refuse(change.kind === 'undo' ? 'no-undo' : 'no-redo', '(file)', change.kind);
      const back = change.kind === 'undo' ? steps.map(turned).reverse() : steps;
      for (const { file, before } of back)
        if ((await textOf(file)) !== before) return refuse('file-changed', '(file)', file);
      await writeAll(back);
      from.pop();
      to.push(steps);
      return { done: true };
    }
    const settings =
      change.kind === 'field'
        ? [{ path: keysOf(change.id), text: change.text }]
        : movedGrip(source, change.id, change.x, change.y);
    if (!settings) return refuse('unknown-field', change.id, 'none');
    const made = await this.#planned(settings, files, source);
    if ('code' in made) return refuse(made.code, change.id, made.received);
    if ('problems' in made) return { done: false, problems: made.problems };
    const steps = made.steps.filter(({ before, after }) => before !== after);
    if (steps.length > 0) {
      await writeAll(steps);
      this.#done.push(steps);
      this.#undone = [];
    }
    return { done: true, origin: made.origin };
  }

  /** What is to be written, or why not. */
  async #planned(
    settings: readonly Setting[],
    files: readonly LookFile[],
    source: BandSource,
  ): Promise<
    | { steps: Step[]; origin: Origin }
    | { problems: Problem[] }
    | { code: 'file-changed' | 'unknown-field' | 'empty'; received: string }
  > {
    const fields = new Map(templateFields(mergeLayers(source.layers)).map((f) => [idOf(f.path), f]));
    const steps = new Map<string, Step>();
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

async function stepOn(file: string): Promise<Step> {
  const text = await textOf(file);
  return { file, before: text, after: text };
}

const turned = ({ file, before, after }: Step): Step => ({ file, before: after, after: before });

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

async function write(file: string, text: string): Promise<void> {
  const real = await realpath(file);
  await writeDurably(real, text, (await stat(real)).mode & 0o777);
}
