import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { runCampaign } from './campaign.ts';
import { KINDS } from './injections.ts';
import { CAN_SEE_PROCESSES } from './processes.ts';
import { NOTHING } from './verdict.ts';
import { Workshop } from './workshop.ts';

/** The quick kinds; the long campaign (`npm run test:faults`) has all of them and hundreds of faults. */
const QUICK = KINDS.filter((k) =>
  /place of its work|any instant|SIGINT|artefact of the store|browser process/.test(k.name),
);

// Processes are looked for in /proc
describe.skipIf(!CAN_SEE_PROCESSES)('a run that is disturbed a dozen times', () => {
  let workshop: Workshop;
  beforeAll(() => {
    workshop = new Workshop();
  });
  afterAll(() => workshop.dispose());

  it('loses nothing, does nothing twice, and comes to the same bytes', async () => {
    const { injected, why, ...verdict } = await runCampaign(workshop, {
      injections: 12,
      seed: 4,
      kinds: QUICK,
      chain: 6,
    });
    expect(why).toEqual([]);
    expect(verdict).toMatchObject(NOTHING);
    expect(injected).toBeGreaterThanOrEqual(12);
  }, 600_000);
});
