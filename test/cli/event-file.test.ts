import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { openEventFile } from '../../pipeline/cli/event-file.ts';

it('appends one line of JSON an event and refuses a folder that is not there', () => {
  const folder = mkdtempSync(join(tmpdir(), 'bandwright-events-'));
  try {
    const file = join(folder, 'run.ndjson');
    for (const message of ['a\nb', 'c']) {
      const events = openEventFile(file, () => new Date(0));
      events.report({ event: 'warning', message });
      events.close();
    }
    const lines = readFileSync(file, 'utf8').trimEnd().split('\n');
    expect(lines.map((l) => JSON.parse(l))).toEqual([
      { time: '1970-01-01T00:00:00.000Z', event: 'warning', message: 'a\nb' },
      { time: '1970-01-01T00:00:00.000Z', event: 'warning', message: 'c' },
    ]);
    expect(() => openEventFile(join(folder, 'none', 'run.ndjson'))).toThrow(/--events/);
  } finally {
    rmSync(folder, { recursive: true });
  }
});
