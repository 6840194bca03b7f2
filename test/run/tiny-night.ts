/** A catalogue of 16 px takes with grey films, made with a tracer that does as it is told. Two shapes, four takes. */
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import type { RunEvent } from '../../pipeline/artefacts/events.ts';
import type { Plan, ShotName } from '../../pipeline/plan/plan.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import type { CostTable, TakeMeasure } from '../../pipeline/run/cost.ts';
import { type MakeOptions, makeCatalogue } from '../../pipeline/run/make.ts';
import type { TimedEvent } from '../../pipeline/run/run-log.ts';
import type { TraceScene } from '../../pipeline/scene/trace-scene.ts';
import type { TraceOptions, TraceResult } from '../../pipeline/tracer/tracer.ts';
import { greyTake } from './grey-take.ts';

export const TINY = `
catalogue: tiny
title: Tiny <b>night</b>
workshop: Test bench
template: ${resolve('templates/plain-court.yaml')}
overrides: { chord-tolerance: 0.05 mm }
grid: { size: [ISO 52, ISO 58], metal: [yellow-18, platinum-950] }
shots: [three-quarter, front]
frame: [16 px, 16 px]
quality: { noise: 4 %, passes: 8 }
bench:
  limits: { band-thickness: 3 mm, band-width: 9 mm }
  waive: { band-width: { reason: 'Asked for <narrow>', when: { size: ISO 58 } } }
outputs:
  images: [{ format: png, widths: [16] }]
sku: T-{size}-{metal}
`;

export interface Night {
  folder: string;
  plan: Plan;
  dispose(): void;
}

export async function openNight(config = TINY): Promise<Night> {
  const folder = mkdtempSync(join(tmpdir(), 'bandwright-night-'));
  const file = join(folder, 'tiny.yaml');
  writeFileSync(file, config);
  const { plan } = await readPlan(file);
  return { folder, plan, dispose: () => rmSync(folder, { recursive: true, force: true }) };
}

/** What a take does before its films are there: throws, waits, tells progress. `call` counts from 1. */
export type Conduct = (scene: TraceScene, options: TraceOptions, call: number) => void | Promise<void>;

export async function makeNight(
  { folder, plan }: Night,
  out: string,
  conduct: Conduct = () => {},
  more: Partial<MakeOptions> = {},
) {
  const events: TimedEvent[] = [];
  let call = 0;
  const trace = async (scene: TraceScene, options: TraceOptions): Promise<TraceResult> => {
    await conduct(scene, options, ++call);
    return greyTake(scene, options);
  };
  const { report, ...others } = more;
  const result = await makeCatalogue(plan, {
    out: join(folder, out),
    openTracer: async () => ({ trace, close: async () => {} }),
    signal: new AbortController().signal,
    backoffMs: 1,
    ...others,
    report: (event) => {
      events.push({ time: Date.now(), event: structuredClone(event) });
      report?.(event);
    },
  });
  return { result, events };
}

/**
 * Tells a folder's next run what takes need on this machine: so many seconds of processor time a pixel, at `noise`. They
 * had so many samples that no tile was near the least that each is given, so that time goes with the square of noise.
 */
export function measured(folder: string, secondsPerPixel: number, noise: number): void {
  const samples = 5000;
  const takes = ['three-quarter', 'front'].map((view): TakeMeasure => {
    const scene = { view: view as ShotName, ground: 'white', stones: 'none', engine: 'any' } as const;
    const perPath = secondsPerPixel / samples;
    return { ...scene, noise, samples, passes: samples, passCap: 100_000, perPath, setUp: 0 };
  });
  const table: CostTable = { version: 3, takes };
  mkdirSync(join(folder, '.bandwright'), { recursive: true });
  writeFileSync(join(folder, '.bandwright/costs.json'), JSON.stringify(table));
}

export const named = <E extends RunEvent['event']>(events: readonly TimedEvent[], name: E) =>
  events.flatMap(({ event }) => (event.event === name ? [event as Extract<RunEvent, { event: E }>] : []));
