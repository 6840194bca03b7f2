/** A catalogue of 48 px takes traced in this process, and its files. */
import { readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import type { MakeOptions } from '../../pipeline/run/make.ts';
import { buildFiles } from '../../pipeline/tracer/built-files.mjs';
import { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { createNodeTracer } from '../../pipeline/tracer/node-tracer.ts';
import type { Tracer } from '../../pipeline/tracer/tracer.ts';

const CONFIG = `
catalogue: tiny
title: Tiny
workshop: Test bench
template: plain-court
overrides: { chord-tolerance: 0.05 mm }
grid:
  size: [ISO 52, ISO 58]
  metal: [yellow-18, platinum-950]
shots: [front]
frame: [48 px, 48 px]
quality: { noise: 40 %, passes: 4 }
outputs:
  images: [{ format: webp, widths: [48], quality: 80 }]
  glb: true
sku: T-{size}-{metal}
`;

function writeConfig(folder: string, less: boolean): string {
  const file = join(folder, less ? 'least.yaml' : 'tiny.yaml');
  const template = fileURLToPath(new URL('../../templates/plain-court.yaml', import.meta.url));
  const config = less
    ? CONFIG.replace(', ISO 58', '').replace(', platinum-950', '').replace('glb: true', 'glb: false')
    : CONFIG;
  writeFileSync(file, config.replace('template: plain-court', `template: ${template}`));
  return file;
}

/**
 * Two takes, one of each shape: as many as it needs for one to wait while another is traced.
 * @param less one take alone, of one picture
 */
export async function tinyPlan(folder: string, less = false) {
  return (await readPlan(writeConfig(folder, less))).plan;
}

/** A tracer that says that it is a card; it traces as the other does. */
export async function openPlayedCard(): Promise<Tracer> {
  const kernel = await openTracer();
  return {
    engine: 'webgpu',
    trace: async (scene, options) => ({
      ...(await kernel.trace(scene, options)),
      by: { engine: 'webgpu', adapter: 'acme one' },
    }),
    close: () => kernel.close(),
  };
}

let compiled: WebAssembly.Module | undefined;

export async function openTracer() {
  const { kernel } = await buildFiles();
  compiled ??= new WebAssembly.Module(readFileSync(kernel) as BufferSource);
  return createNodeTracer([await KernelHost.create(compiled)]);
}

export function optionsIn(out: string): MakeOptions {
  return { out, openTracer, report: () => {}, signal: new AbortController().signal };
}

/** Every file of a folder by path, base 64, but the list of changes, which tells how often it was published. */
export function snapshot(dir: string): Record<string, string> {
  const files: Record<string, string> = {};
  for (const name of readdirSync(dir, { recursive: true, encoding: 'utf8' }).sort()) {
    if (name.endsWith('changes.json') || !statSync(join(dir, name)).isFile()) continue;
    files[name] = readFileSync(join(dir, name)).toString('base64');
  }
  return files;
}
