/** One item's folder: its pictures and documents, and the manifest that names them. */

import {
  type BandFacts,
  CATALOGUE_VERSION,
  type CatalogueEntry,
  type DocumentEntry,
  type Manifest,
} from '../facts/catalogue-schema.ts';
import type { EncodedImage } from '../picture/encode.ts';
import { patternName } from '../plan/file-pattern.ts';
import { sha256 } from '../store/content-key.ts';
import { isComplete, placeFolder, readManifest } from './item-folder.ts';

/** A picture as encoded, or all but its bytes, which are then fetched only if they must be written. */
export type CataloguePicture = Omit<EncodedImage, 'data' | 'fill'> & {
  fill?: number;
  data: Uint8Array | (() => Promise<Uint8Array>);
};

export interface CatalogueShot {
  /** the shot's name in the config, part of file names */
  name: string;
  /** what it shows, for people */
  label: string;
  /** one frame of a turntable */
  turn?: { frame: number; of: number };
  /** alternative text */
  alt?: string;
  /** width of the frame at the camera's aim, mm */
  frameMm?: number;
  noise: { target: number; reached: number; passes: number; filtered?: boolean };
  /** the processor's cores or the graphics card */
  tracedBy?: 'cpu' | 'gpu';
  pictures: CataloguePicture[];
}

/** A file for the bench in an item's folder. */
export interface CatalogueDocument {
  kind: DocumentEntry['kind'];
  /** name within the folder */
  name: string;
  data: Uint8Array;
}

/** One finished item, ready to publish. */
export interface CatalogueItem {
  sku: string;
  kind: 'variant' | 'pair';
  title: string;
  /** one for a variant, two for a pair; `model.file` as in `CatalogueModel.file` */
  bands: BandFacts[];
  shots: CatalogueShot[];
  documents?: CatalogueDocument[];
  /** of its picture files' names; the usual one if absent */
  filePattern?: string;
  /** of the alloys and stones in it; general cautions are added to the catalogue */
  cautions: string[];
  keys: Record<string, string>;
  versions: Record<string, string>;
}

/** SKUs, and how much of them was written. */
export interface ItemReport {
  written: string[];
  unchanged: string[];
  bytesWritten: number;
}

export async function publishItem(outDir: string, item: CatalogueItem, report: ItemReport): Promise<void> {
  const manifest: Manifest = { manifest: 'bandwright', version: CATALOGUE_VERSION, item: toEntry(item) };
  const text = `${JSON.stringify(manifest, null, 2)}\n`;
  const old = await readManifest(outDir, item.sku);
  if (old?.text === text && (await isComplete(outDir, manifest))) {
    report.unchanged.push(item.sku);
    return;
  }
  const files = item.shots.flatMap((shot) =>
    shot.pictures.map((picture) => ({
      name: pictureName(item, shot.name, picture),
      data: async () => checkedBytes(picture, `${item.sku}, ${shot.name}`),
    })),
  );
  const twice = files.find((f, i) => files.findIndex((g) => g.name === f.name) !== i);
  if (twice) throw new RangeError(`expected files of different names but received ${twice.name} twice`);
  const documents = (item.documents ?? []).map(({ name, data }) => ({ name, data: async () => data }));
  await placeFolder(outDir, item.sku, [...files, ...documents], text);
  report.written.push(item.sku);
  const pictures = item.shots.flatMap((shot) => shot.pictures);
  report.bytesWritten += text.length + pictures.reduce((sum, p) => sum + p.bytes, 0);
}

/** A picture that is not the one its manifest will name must never be published. */
async function checkedBytes(picture: CataloguePicture, where: string): Promise<Uint8Array> {
  const data = typeof picture.data === 'function' ? await picture.data() : picture.data;
  if (data.length !== picture.bytes || sha256(data) !== picture.sha256) {
    throw new RangeError(`expected ${picture.bytes} bytes with hash ${picture.sha256} for ${where}`);
  }
  return data;
}

export function toEntry(item: CatalogueItem): CatalogueEntry {
  const shots = item.shots.map(({ name, label, turn, alt, frameMm, noise, tracedBy, pictures }) => ({
    name,
    label,
    ...(turn ? { turn } : {}),
    ...(alt === undefined ? {} : { alt }),
    ...(frameMm === undefined ? {} : { frameMm }),
    noise,
    ...(tracedBy ? { tracedBy } : {}),
    pictures: pictures.map((p) => ({
      file: `${item.sku}/${pictureName(item, name, p)}`,
      role: p.role,
      ...(p.name === undefined ? {} : { name: p.name }),
      ...(p.frame === undefined ? {} : { frame: p.frame }),
      format: p.format,
      width: p.width,
      height: p.height,
      ...(p.fill === undefined ? {} : { fill: p.fill }),
      bytes: p.bytes,
      sha256: p.sha256,
    })),
  }));
  const { sku, kind, title, bands, cautions, keys, versions } = item;
  const documents = item.documents?.map((d) => ({
    kind: d.kind,
    file: `${sku}/${d.name}`,
    bytes: d.data.length,
    sha256: sha256(d.data),
  }));
  return { sku, kind, title, bands, shots, ...(documents ? { documents } : {}), cautions, keys, versions };
}

function pictureName(
  { sku, filePattern }: Pick<CatalogueItem, 'sku' | 'filePattern'>,
  shot: string,
  p: Pick<CataloguePicture, 'role' | 'name' | 'frame' | 'width' | 'extension'>,
): string {
  if (filePattern !== undefined && p.role !== 'thumbnail')
    return `${patternName(filePattern, { sku, shot, ...p })}.${p.extension}`;
  const name = p.name === undefined ? '' : `_${p.name}`; // shots have no underscore, so names cannot meet
  const frame = p.frame === undefined ? '' : `_${p.frame}`;
  return `${sku}-${shot}${name}${frame}-${p.role === 'thumbnail' ? 'thumb' : p.width}.${p.extension}`;
}
