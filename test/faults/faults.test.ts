import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { KINDS, runCampaign } from './campaign.ts';
import { CAN_SEE_PROCESSES } from './processes.ts';
import { judgeWhole, NOTHING } from './verdict.ts';
import { Workshop } from './workshop.ts';

/** The quick kinds; the long campaign (`npm run test:faults`) has all of them and hundreds of faults. */
const QUICK = KINDS.filter((k) =>
  /place of its work|any instant|SIGINT|artefact of the store|browser process|of its own|input/.test(k.name),
);

// Processes are looked for in /proc
describe.skipIf(!CAN_SEE_PROCESSES)('a run that is disturbed time and again', () => {
  let workshop: Workshop;
  beforeAll(() => {
    workshop = new Workshop();
  });
  afterAll(() => workshop.dispose());

  it('loses nothing, does nothing twice, and comes to the same bytes', async () => {
    const { injected, why, ...verdict } = await runCampaign(workshop, {
      injections: 5,
      seed: 4,
      kinds: QUICK,
      chain: 5,
    });
    expect(why).toEqual([]);
    expect(verdict).toMatchObject(NOTHING);
    expect(injected).toBeGreaterThanOrEqual(5);
  }, 900_000);

  it('and interrupted at its very last step still leaves its report whole', async () => {
    const reports = () => readdirSync(join(workshop.out, '.bandwright/reports')).sort();
    workshop.begin('stored');
    const before = reports();
    const end = await workshop.run({ fault: `int@*#${workshop.places.publishing}` });
    expect(end).toMatchObject({ code: 0, signal: null });
    expect(end.err).toContain('Stopping');
    const [report, ...others] = reports().filter((name) => !before.includes(name));
    expect(others).toEqual([]);
    expect(readFileSync(join(workshop.out, '.bandwright/reports', report), 'utf8')).toMatch(/<\/html>\s*$/);
    expect(judgeWhole(workshop)).toMatchObject({ lost: 0, duplicated: 0, different: 0 });
  });
});
