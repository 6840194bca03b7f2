/** Many faults to many runs, and a verdict on all of them. */
import { Chance } from './chance.ts';
import { INSIDE, type Kind, type Scene, type Struck, verifyRepairs } from './injections.ts';
import { OUTSIDE } from './outside.ts';
import { judgeBroken, judgeWhole, NOTHING, type Verdict } from './verdict.ts';
import type { Workshop } from './workshop.ts';

export interface Campaign extends Verdict {
  injected: number;
  /** catalogues completed after their faults and compared with the undisturbed one */
  catalogues: number;
  kinds: Record<string, number>;
  /** s that a fault of the kind took, with what was run to see what came of it */
  secondsEach: Record<string, number>;
  why: string[];
}

export interface CampaignOptions {
  injections: number;
  seed: number;
  kinds?: readonly Kind[];
  /** most faults before a catalogue is completed and compared */
  chain?: number;
  tell?: (line: string) => void;
}

export const KINDS: readonly Kind[] = [...INSIDE, ...OUTSIDE];

const REPAIR = 'a published file altered, then verify --repair';

export async function runCampaign(workshop: Workshop, options: CampaignOptions): Promise<Campaign> {
  const { injections, seed, kinds = KINDS, chain = 14, tell = () => {} } = options;
  const chance = new Chance(seed);
  const places = await workshop.prepare();
  const campaign: Campaign = { injected: 0, catalogues: 0, ...NOTHING, kinds: {}, secondsEach: {}, why: [] };
  const spent: Record<string, number> = {};
  const enter = (name: string, { count, why = [], verdict = {} }: Struck) => {
    campaign.injected += count;
    campaign.kinds[name] = (campaign.kinds[name] ?? 0) + count;
    add(
      campaign,
      verdict,
      why.map((w) => `${name}: ${w}`),
    );
  };
  let told = 0;
  /** at once, with the place in the campaign: a long one may not live to its end */
  const tellFaults = () => {
    for (const why of campaign.why.slice(told)) tell(`after ${campaign.injected}: ${why}`);
    told = campaign.why.length;
  };
  while (campaign.injected < injections) {
    const state = chance.next() < 0.3 || kinds.every((k) => k.needs === 'tracing') ? 'nothing' : 'stored';
    workshop.begin(state);
    const scene: Scene = {
      workshop,
      chance,
      places: state === 'nothing' ? places.whole : places.publishing,
      ms: state === 'nothing' ? 3000 : 1200,
    };
    const able = kinds.filter((k) => k.needs === 'anything' || state === 'nothing');
    let traces = state === 'nothing';
    const most = Math.min(chance.whole(3, chain), injections - campaign.injected);
    for (let i = 0, tries = 0; i < most && tries < 2 * chain; tries++) {
      const left = able.filter((k) => traces || k.needs === 'anything');
      if (left.length === 0) break;
      const kind = draw(left, chance);
      const before = workshop.records();
      const stored = new Set(workshop.artefacts());
      const start = performance.now();
      const struck = await kind.strike(scene);
      enter(kind.name, struck);
      spent[kind.name] = (spent[kind.name] ?? 0) + (performance.now() - start) / 1000;
      campaign.secondsEach[kind.name] =
        Math.round((10 * spent[kind.name]) / Math.max(1, campaign.kinds[kind.name])) / 10;
      i += struck.count;
      const orphans = await workshop.orphans();
      const { why, ...broken } = judgeBroken(workshop);
      add(
        campaign,
        { ...broken, orphans: orphans.length },
        [...why, ...orphans.map((o) => `orphan: ${o}`)].map((w) => `${kind.name}: ${w}`),
      );
      judgeStore(workshop, before, stored, kind, campaign);
      tellFaults();
      traces &&= !struck.finished;
      // what is complete has nothing left to disturb
      if (struck.finished && !kind.damages) break;
    }
    await complete(scene, campaign, enter);
    tellFaults();
    tell(
      `${campaign.injected} injected, ${campaign.catalogues} catalogues, ${campaign.why.length} faults found`,
    );
  }
  return campaign;
}

/** The same command once more; then the catalogue must be there, byte for byte, and nothing else. */
async function complete(
  scene: Scene,
  campaign: Campaign,
  enter: (name: string, s: Struck) => void,
): Promise<void> {
  const { workshop, chance } = scene;
  const before = workshop.records();
  const end = await workshop.run();
  const wrong =
    end.code === 0 ? [] : [`the rerun ended with ${end.code ?? end.signal}: ${end.err.slice(-400)}`];
  const again = [...workshop.records()].filter(([name, ino]) => before.has(name) && before.get(name) !== ino);
  const { why, ...whole } = judgeWhole(workshop);
  add(campaign, { ...whole, misbehaved: wrong.length }, [...wrong, ...why]);
  add(
    campaign,
    { duplicated: again.length },
    again.map(([name]) => `traced again: ${name}`),
  );
  if (chance.next() < 0.15) {
    enter(REPAIR, await verifyRepairs(scene));
    const { why: left, ...repaired } = judgeWhole(workshop);
    add(campaign, repaired, left);
  }
  const orphans = await workshop.orphans();
  const leftovers = workshop.leftovers();
  add(campaign, { orphans: orphans.length, temporary: leftovers.length }, [
    ...orphans.map((o) => `orphan: ${o}`),
    ...leftovers.map((l) => `temporary: ${l}`),
  ]);
  campaign.catalogues++;
}

/** No artefact is lost and no take traced again, but for those that were damaged on purpose. */
function judgeStore(
  workshop: Workshop,
  before: ReadonlyMap<string, number>,
  stored: ReadonlySet<string>,
  kind: Kind,
  campaign: Campaign,
): void {
  if (kind.damages) return;
  const now = workshop.records();
  const again = [...now]
    .filter(([name, ino]) => before.has(name) && before.get(name) !== ino)
    .map(([n]) => n);
  const still = new Set(workshop.artefacts());
  const gone = [...stored].filter((name) => !still.has(name));
  add(campaign, { duplicated: again.length, lost: gone.length }, [
    ...again.map((n) => `${kind.name}: traced again: ${n}`),
    ...gone.map((n) => `${kind.name}: left the store: ${n}`),
  ]);
}

function add(campaign: Campaign, verdict: Partial<Verdict>, why: readonly string[]): void {
  for (const key of Object.keys(NOTHING) as (keyof Verdict)[]) campaign[key] += verdict[key] ?? 0;
  campaign.why.push(...why);
}

function draw(kinds: readonly Kind[], chance: Chance): Kind {
  let at = chance.next() * kinds.reduce((sum, k) => sum + k.weight, 0);
  for (const kind of kinds) {
    at -= kind.weight;
    if (at < 0) return kind;
  }
  return kinds[kinds.length - 1];
}
