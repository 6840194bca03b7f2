/**
 * Which engine traces: the one that is asked for, or, left to the machine, the graphics card if it is one and faster than
 * the cores. That is tried once for every card, driver and browser and remembered beside what set-up has built.
 */
import { readFileSync } from 'node:fs';
import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import type { EngineChoice } from '../plan/plan.ts';
import { writeDurably } from '../store/durable-file.ts';
import { CACHE_DIR } from '../store/installation.mjs';
import { usableCores } from './cores.ts';
import { hasDawn } from './dawn-process.ts';
import { type AdapterFacts, adapterName } from './gpu/device.ts';
import { createTracerSession, type SessionOptions } from './session.ts';
import { ENGINE, type EngineId } from './tracer.ts';
import { trialScene } from './trial-scene.ts';

/** Paths a second of either engine on the trial's scene; of the card undefined where it refused. */
export interface Speeds {
  cores: number;
  card?: number;
  /** why the card refused */
  refused?: string;
}

export interface ChosenEngine {
  engine: EngineId;
  why: string;
  adapter?: string;
  speeds?: Speeds;
}

/** A card is tried on more, so that what it takes to begin doesn't count. */
const CORES_TRIAL = { size: 256, passes: 32 };
const CARD_TRIAL = { size: 512, passes: 64 };

/** A choice from what is known of the machine. Pure. */
export function judge(
  facts: AdapterFacts | undefined,
  speeds: Speeds | undefined,
  dawn = hasDawn(),
): ChosenEngine {
  const cores = (why: string): ChosenEngine => ({
    engine: ENGINE,
    why,
    ...(facts && { adapter: adapterName(facts) }),
    speeds,
  });
  if (!facts && dawn) return cores('neither the browser nor Dawn for Node has a graphics card to give');
  if (!facts)
    return cores(
      'the browser has no graphics card to give (the npm package webgpu, installed beside Bandwright, lets Node use one by itself)',
    );
  if (facts.software) return cores(`${adapterName(facts)} is a processor that plays a graphics card`);
  if (!speeds) return cores('the graphics card was not tried');
  if (speeds.card === undefined) return cores(`the graphics card refuses: ${speeds.refused}`);
  const times = speeds.card / speeds.cores;
  if (!(times > 1)) return cores(`the graphics card traces ${times.toFixed(2)} times as fast as the cores`);
  const why = `the graphics card traces ${times.toFixed(1)} times as fast as the cores`;
  return { engine: 'webgpu', why, adapter: adapterName(facts), speeds };
}

/** @param choice of config or command line; only `auto` looks at the machine */
export async function chooseEngine(
  choice: EngineChoice,
  options: SessionOptions = {},
): Promise<ChosenEngine> {
  if (choice === 'cpu') return { engine: ENGINE, why: 'asked for' };
  if (choice === 'gpu') return { engine: 'webgpu', why: 'asked for' };
  return tryEngines(options);
}

/** Looks for a card and, unless it is known already, tries it against the cores: some seconds. */
export async function tryEngines(
  options: SessionOptions = {},
  measure: typeof trySpeeds = trySpeeds,
): Promise<ChosenEngine> {
  const card = await createTracerSession({ ...options, engine: 'webgpu', onInstead: undefined });
  try {
    const found = await card.card();
    if (!found || (found.facts.software && !options.softwareCard)) return judge(found?.facts, undefined);
    const file = join(options.cacheDir ?? CACHE_DIR, 'card-trials.json');
    const key = `${adapterName(found.facts)}, ${found.host}, ${usableCores()} cores, ${card.code}`;
    const known = readTrials(file);
    const speeds = known[key] ?? (await measure(options, card));
    if (!known[key]) {
      await mkdir(options.cacheDir ?? CACHE_DIR, { recursive: true });
      await writeDurably(file, JSON.stringify({ ...readTrials(file), [key]: speeds }));
    }
    return judge(options.softwareCard ? { ...found.facts, software: false } : found.facts, speeds);
  } finally {
    await card.close();
  }
}

async function trySpeeds(
  options: SessionOptions,
  card: Awaited<ReturnType<typeof createTracerSession>>,
): Promise<Speeds> {
  const trial = ({ size, passes }: typeof CARD_TRIAL) =>
    [trialScene(size, size), { seed: 1, noiseTarget: 0, passCap: passes }] as const;
  const cores = await createTracerSession({ ...options, engine: ENGINE });
  try {
    const slow = await cores.trace(...trial(CORES_TRIAL));
    const speeds: Speeds = { cores: slow.paths / slow.seconds };
    const fast = await card.trace(...trial(options.softwareCard ? CORES_TRIAL : CARD_TRIAL));
    if (fast.by?.engine !== 'webgpu') return { ...speeds, refused: fast.by?.instead };
    return { ...speeds, card: fast.paths / fast.seconds };
  } finally {
    await cores.close();
  }
}

function readTrials(file: string): Record<string, Speeds> {
  try {
    return JSON.parse(readFileSync(file, 'utf8'));
  } catch {
    // none yet, or cut short
    return {};
  }
}
