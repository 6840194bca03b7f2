import { readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import * as z from 'zod';
import { openEventFile } from '../../pipeline/cli/event-file.ts';
import { jsonReport } from '../../pipeline/cli/progress.ts';
import { eventsJsonSchema, runEventSchema } from '../../pipeline/run/event-schema.ts';
import { makeNight, type Night, openNight } from './tiny-night.ts';

/** Everything that can be made beside pictures, and a width of which no shape can be built. */
const CONFIG = `
catalogue: tiny
title: Tiny
workshop: Test bench
template: ${resolve('templates/two-tone-straight.yaml')}
overrides: { chord-tolerance: 0.05 mm }
grid: { size: [ISO 52, ISO 58], width: [1.2 mm, 5 mm], metal: [yellow-18] }
shots: [three-quarter]
frame: [16 px, 16 px]
outputs:
  images: [{ format: png, widths: [16] }]
  glb: true
  caster: true
  sheets: true
sku: T-{width}-{size}-{metal}
`;

let night: Night;
let lines: string[] = [];
let printed = '';

beforeAll(async () => {
  night = await openNight(CONFIG);
  const file = join(night.folder, 'events.ndjson');
  const told = openEventFile(file);
  const show = jsonReport({ write: (t) => (printed += t), terminal: false, columns: 100 });
  let tries = 0;
  const run = (more: Parameters<typeof makeNight>[3] = {}) =>
    makeNight(
      night,
      'out',
      (_, { onProgress }, call) => {
        onProgress?.({ passes: 0, open: 1, error: Infinity, worst: Infinity, seconds: 0, paths: 0 });
        if (call > 1 && tries++ < 3) throw new Error('the browser is gone');
      },
      {
        report: (event) => {
          told.report(event);
          show(event);
        },
        ...more,
      },
    );
  // a take that fails, the same in quarantine, and the same when it is asked for
  await run();
  await run();
  await run({ retry: true });
  told.close();
  lines = readFileSync(file, 'utf8').trimEnd().split('\n');
});
afterAll(() => night.dispose());

it('every line of a run keeps to the schema, with its time in the file and without it on the screen', () => {
  for (const line of lines) {
    expect(runEventSchema.safeParse(JSON.parse(line)).error, line).toBeUndefined();
    expect(JSON.parse(line).time).toMatch(/^\d{4}-.*Z$/);
  }
  const shown = printed.trimEnd().split('\n');
  expect(shown).toHaveLength(lines.length);
  for (const line of shown) expect(runEventSchema.safeParse(JSON.parse(line)).error, line).toBeUndefined();
  const names = new Set(lines.map((l) => JSON.parse(l).event as string));
  expect([...names].sort()).toEqual(
    expect.arrayContaining([
      ...['checks', 'done', 'encoded', 'model', 'part', 'planned', 'published', 'shape', 'shape-failed'],
      ...['take-done', 'take-failed', 'take-progress', 'take-quarantined', 'take-retry', 'take-start'],
    ]),
  );
});

it('what is no event is refused', () => {
  const done = JSON.parse(lines.at(-1) ?? '');
  expect(runEventSchema.safeParse(done).success).toBe(true);
  for (const wrong of [{ made: -1 }, { made: '4' }, { made: undefined }, { event: 'finished' }, { more: 1 }])
    expect(runEventSchema.safeParse({ ...done, ...wrong }).success, JSON.stringify(wrong)).toBe(false);
});

// after a change of the schema: npx vitest run test/run/event-schema.test.ts -u
it('events.schema.json is its JSON Schema, and says the same of the run’s lines', async () => {
  await expect(eventsJsonSchema()).toMatchFileSnapshot('../../pipeline/run/events.schema.json');
  const schema = JSON.parse(eventsJsonSchema());
  expect(schema.$schema).toBe('https://json-schema.org/draft/2020-12/schema');
  const read = z.fromJSONSchema(schema);
  for (const line of lines) expect(read.safeParse(JSON.parse(line)).success, line).toBe(true);
  expect(read.safeParse({ event: 'finished' }).success).toBe(false);
});
