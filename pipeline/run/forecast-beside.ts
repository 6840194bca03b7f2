/** What a plan asks for beside takes and pictures, how much of it is there, and what the rest will cost. */
import { stat } from 'node:fs/promises';
import { join } from 'node:path';
import { privateFolder } from '../publish/private-folder.ts';
import type { ArtefactLayer, ArtefactStore } from '../store/artefact-store.ts';
import type { PieceKind } from './cost.ts';
import { plannedProofs } from './proofs.ts';
import { readPublished } from './published-record.ts';
import type { Survey } from './survey.ts';
import type { Workplace } from './workplace.ts';

export interface PieceForecast {
  kind: PieceKind;
  total: number;
  /**
   * there already. Bench sheets and proofs follow from facts of solids, which a forecast does not build: of those it counts
   * what an earlier run left, unless solids are to be built anew
   */
  cached: number;
  /** for those that are not */
  predictedSeconds: number;
  /** of all of them, in the store and in the catalogue */
  predictedBytes: number;
  /** whether the cost was measured on this machine */
  measured: boolean;
}

/** How often the bytes of a piece lie on the disk: in the store, in the catalogue, in base64 for the page. */
const COPIES: Record<PieceKind, number> = {
  shape: 1,
  model: 2 + 4 / 3,
  usdz: 1,
  'own-glb': 1,
  'own-usdz': 1,
  part: 2,
  sheet: 2,
  swatch: 2,
  comparison: 2,
  proof: 1,
};

export async function forecastBeside(
  { work, store, costs }: Workplace,
  survey: Survey,
  out: string,
): Promise<PieceForecast[]> {
  const { plan } = work;
  const has = (layer: ArtefactLayer) => (w: { key: string }) => store.has(layer, w.key);
  const own = (format: 'glb' | 'usdz') => work.ownModels.filter((m) => m.format === format);
  const singles = (sheets: readonly { skus: readonly string[] }[]) =>
    sheets.reduce((n, s) => n + s.skus.length, 0);
  const shapes = Object.keys(work.solids).length;
  const counted: [PieceKind, number, number][] = [
    ['shape', shapes, shapes - survey.shapes.length],
    ['model', work.models.length, work.models.length - survey.models.length],
    ['usdz', work.usd.length, work.usd.length - survey.usd.length],
    ['own-glb', own('glb').length, (await those(own('glb'), has('model'))).length],
    ['own-usdz', own('usdz').length, (await those(own('usdz'), has('model'))).length],
    ['part', work.parts.length, work.parts.length - survey.parts.length],
    ['swatch', singles(work.swatches), singles(await those(work.swatches, has('picture')))],
    ['comparison', work.comparisons.length, (await those(work.comparisons, has('picture'))).length],
  ];
  if (plan.sheets) {
    const bands = [...plan.variants, ...plan.pairs.flatMap((p) => [p.left, p.right])];
    const skus = new Map(bands.map((b) => [b.sku, b.shape]));
    const fresh = [...skus.values()].filter((shape) => !survey.shapes.includes(shape)).length;
    counted.push(['sheet', skus.size, Math.min(fresh, await printedSheets(store, out, plan.catalogue))]);
  }
  // of each paper's page and print the print is what costs
  const proofs = plannedProofs(plan).filter((name) => name.endsWith('.pdf'));
  const folder = join(privateFolder(join(out, plan.catalogue)), 'proofs');
  const there = survey.shapes.length > 0 ? [] : await those(proofs, (name) => exists(join(folder, name)));
  counted.push(['proof', proofs.length, there.length]);
  return counted
    .filter(([, total]) => total > 0)
    .map(([kind, total, cached]) => {
      const { seconds, bytes, measured } = costs.piece(kind);
      return {
        kind,
        total,
        cached,
        predictedSeconds: (total - cached) * seconds,
        predictedBytes: Math.round(total * bytes * COPIES[kind]),
        measured,
      };
    });
}

async function those<T>(all: readonly T[], are: (one: T) => Promise<boolean>): Promise<T[]> {
  const found = await Promise.all(all.map(are));
  return all.filter((_, i) => found[i]);
}

/** Bench sheets that the catalogue was last published with and that the store still has. */
async function printedSheets(store: ArtefactStore, out: string, catalogue: string): Promise<number> {
  const uses = (await readPublished(out, catalogue))?.uses ?? [];
  const keys = uses.flatMap((name) => (name.startsWith('sheet/') ? [name.slice('sheet/'.length)] : []));
  return (await those(keys, (key) => store.has('sheet', key))).length;
}

const exists = async (path: string) => (await stat(path).catch(() => undefined)) !== undefined;
