/**
 * The events of a run as `--json` prints them and `--events` appends them, one object a line. Their JSON Schema is
 * committed as events.schema.json for those who read them. New events and new optional fields may come; what stands
 * here keeps its meaning.
 */
import * as z from 'zod';
import type { RunEvent } from '../artefacts/events.ts';

const text = z.string();
const texts = z.array(text);
const count = z.int().nonnegative();
const bytes = count.describe('bytes');
const seconds = z.number().nonnegative().describe('s');
const share = z.number().min(0).max(1);
const noise = z
  .number()
  .nonnegative()
  .describe('grain: as visible as so much more or less light on a mid grey');
const take = text.describe('id of the take in this run’s plan');
const skus = texts.describe('bands and pairs that are left out for it');
const instant = z.iso.datetime().describe('ISO 8601');

/** `time` comes with `--events` only. */
function event<N extends string, S extends z.ZodRawShape>(name: N, shape: S) {
  return z.strictObject({ event: z.literal(name), ...shape, time: instant.optional() });
}

const tally = z.strictObject({
  rule: text,
  severity: z.enum(['error', 'warning']),
  bands: count.describe('how many bands it befalls'),
  example: z.strictObject({ sku: text, measured: text, limit: text, place: text }),
  waived: text.optional().describe('reason of the waiver'),
});

export const runEventSchema = z.discriminatedUnion('event', [
  event('planned', {
    shapes: count,
    takes: count,
    toTrace: count.describe('takes of which the store lacks films'),
    pictures: count,
    toBuild: count.describe('shapes whose facts the store lacks'),
    toEncode: count.describe('pictures that the store lacks'),
    variants: count,
    pairs: count,
    predictedSeconds: seconds,
    measured: z.boolean().describe('from takes traced on this machine, not a first guess'),
  }),
  event('shape', {
    shape: text,
    done: count,
    total: count,
    triangles: count,
    stones: count,
    seconds,
  }),
  event('shape-failed', { shape: text, skus, problems: texts }),
  event('take-start', {
    take,
    label: text.describe('its shot and the SKU it first serves'),
    index: count,
    total: count,
    colourways: count,
    noise,
    predictedSeconds: seconds.describe('s, on a machine that has nothing else to do'),
  }),
  event('take-progress', {
    take,
    passes: count,
    open: share.describe('share of pixels that still need samples'),
    error: noise.nullable().describe('as the target; null while there is no estimate'),
    target: noise,
    etaSeconds: seconds,
    memory: bytes.optional().describe('bytes that Node and the browser hold, where the system tells'),
  }),
  event('take-done', { take, passes: count, paths: count, error: noise, seconds, etaSeconds: seconds }),
  event('paused', { reason: text.describe('why no take is begun') }),
  event('resumed', { seconds: seconds.describe('s that the pause took') }),
  event('take-retry', { take, attempt: count, reason: text }),
  event('lowered', { noise, asked: noise, until: instant }),
  event('left', { takes: texts.describe('labels of takes'), until: instant }),
  event('waiting', { message: text }),
  event('take-quarantined', { take, label: text, skus, reason: text }),
  event('sheet-failed', { sku: text, reason: text }),
  event('take-failed', { take, skus, reason: text }),
  event('encoded', { take, files: count, bytes, seconds }),
  event('engines', {
    cpu: count.describe('pictures of the catalogue that the processor’s cores have traced'),
    gpu: count.describe('and that a graphics card has'),
  }),
  event('checks', {
    tallies: z.array(tally).describe('bench checks that did not pass'),
    held: z
      .array(z.strictObject({ sku: text, rules: texts.describe('bench errors that it fails, unwaived') }))
      .describe('variants and pairs kept out of feed, structured data, prices and proofs'),
  }),
  event('model', { model: text, bytes }),
  event('comparison', { sku: text, shot: text, deltaE: z.number().nonnegative().describe('CIEDE2000') }),
  event('warning', { message: text }),
  event('part', { part: text, bytes, allowances: text }),
  event('sheet', { sku: text, bytes }),
  event('proof', { file: text, bytes }),
  event('part-failed', { part: text, skus, problems: texts }),
  event('published', { folder: text, written: count, unchanged: count, removed: count }),
  event('done', {
    made: count.describe('bands and pairs in the catalogue'),
    failed: texts,
    seconds,
    bytes,
    upToDate: z.boolean(),
  }),
]);

type Timed = z.infer<typeof runEventSchema>;
type Untimed = Timed extends infer E ? (E extends unknown ? Omit<E, 'time'> : never) : never;
type Fields<E extends { event: string }> = E extends unknown ? `${E['event']}.${keyof E & string}` : never;
type Same<A, B> = [A] extends [B] ? ([B] extends [A] ? true : never) : never;
/** Compiles only if schema and `RunEvent` have the same events, fields (optional ones too) and types. */
true satisfies Same<RunEvent, Untimed> & Same<Fields<RunEvent>, Exclude<Fields<Timed>, `${string}.time`>>;

export function eventsJsonSchema(): string {
  return `${JSON.stringify({ title: 'An event of a run', ...z.toJSONSchema(runEventSchema) }, null, 2)}\n`;
}
