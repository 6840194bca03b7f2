import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { catalogueSchema } from '../../pipeline/facts/catalogue-schema.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { verifyCatalogue } from '../../pipeline/run/verifying.ts';
import { makeNight, named } from './tiny-night.ts';

/**
 * A config, its template and its output as each version left them: `bandwright make tiny.yaml --out output`, packed by
 * `tar czf <version>.tgz tiny.yaml band.yaml output` without the lease and the reports, which name a machine.
 */
const OLDER = join(import.meta.dirname, 'older');

const SOUND = { unfinished: false, damage: [], store: { damaged: [] } };

for (const file of readdirSync(OLDER))
  it(`a catalogue of ${file.replace('.tgz', '')} is found sound, and taken over or made anew`, async () => {
    const folder = mkdtempSync(join(tmpdir(), 'bandwright-older-'));
    try {
      execFileSync('tar', ['xzf', join(OLDER, file)], { cwd: folder });
      const out = join(folder, 'output');
      expect(await verifyCatalogue(out, 'tiny', { remove: false })).toMatchObject(SOUND);

      const { plan } = await readPlan(join(folder, 'tiny.yaml'));
      const night = { folder, plan, dispose: () => {} };
      const first = await makeNight(night, 'output');
      expect(first.result.failed.size).toBe(0);
      const { items } = catalogueSchema.parse(
        JSON.parse(readFileSync(join(out, 'tiny/catalogue.json'), 'utf8')),
      );
      expect(items.map(({ sku }) => sku)).toEqual(['tiny-ISO54']);
      expect(await verifyCatalogue(out, 'tiny', { remove: false })).toMatchObject(SOUND);
      // what a shop has taken over already is not told as new
      const { steps } = JSON.parse(readFileSync(join(out, 'tiny/changes.json'), 'utf8'));
      expect(steps.flatMap(({ added }: { added: string[] }) => added)).toEqual(['tiny-ISO54']);

      const second = await makeNight(night, 'output');
      expect(named(second.events, 'take-done')).toEqual([]);
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  });
