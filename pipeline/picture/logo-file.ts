/**
 * A logo's file: material from outside, so it is read strictly. What it is, is told by its bytes and not by its name; an
 * SVG that runs, loads or hides anything is refused with a reason rather than drawn without the offending part.
 */
import { readFile } from 'node:fs/promises';
import { type Problem, ProblemError } from '../problem.ts';
import { findSvgHazards } from './svg-hazards.ts';

export const MOST_SVG_BYTES = 2 * 1024 * 1024;

export type LogoKind = 'svg' | 'png' | 'jpeg';

/** What may be given where, and how problems are named. */
export interface LogoPlace {
  /** problems are called `<code>-unreadable` and so on */
  code: string;
  /** field of the config */
  path: string;
  kinds: readonly LogoKind[];
  /** of pictures made of pixels; drawings may have `MOST_SVG_BYTES` */
  mostBytes: number;
}

const NAMES: Record<LogoKind, string> = { svg: 'SVG', png: 'PNG', jpeg: 'JPEG' };

const megabytes = (bytes: number) => `${(bytes / 1024 / 1024).toFixed(1)} MB`;

/** Problems of a logo, each with its place's code and path. */
export function refuseLogo(
  { code, path }: LogoPlace,
  kind: string,
  expected: string,
  received: string,
  advice: string,
): ProblemError {
  const problem: Problem = { code: `${code}-${kind}`, severity: 'error', path, expected, received, advice };
  return new ProblemError([problem]);
}

export function kindNames({ kinds }: LogoPlace): string {
  const names = kinds.map((k) => NAMES[k]);
  return `${names.slice(0, -1).join(', ')} or ${names.at(-1)}`;
}

/**
 * @param file absolute
 * @throws ProblemError if it cannot be read, is none of the kinds, is too large or holds what a drawing must not
 */
export async function readLogoFile(
  file: string,
  place: LogoPlace,
  read: (path: string) => Promise<Uint8Array> = readFile,
): Promise<{ kind: LogoKind; data: Buffer }> {
  const expected = `a readable ${kindNames(place)} file`;
  const bytes = await read(file).catch((cause: NodeJS.ErrnoException) => {
    const received = `${file} (${cause.code ?? cause.message})`;
    throw refuseLogo(place, 'unreadable', expected, received, 'Check the path and its permissions.');
  });
  const data = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const kind = place.kinds.find((k) => k === kindOf(data));
  if (!kind) {
    const advice = `Save the logo as ${kindNames({ ...place, kinds: place.kinds.slice(0, 2) })}.`;
    throw refuseLogo(place, 'kind', expected, `${file}, which is none of these`, advice);
  }
  const most = kind === 'svg' ? MOST_SVG_BYTES : place.mostBytes;
  if (data.length > most)
    throw refuseLogo(
      place,
      'too-big',
      `at most ${most / 1024 / 1024} MB`,
      megabytes(data.length),
      'Simplify the drawing or save it smaller.',
    );
  if (kind !== 'svg') return { kind, data };
  const hazards = findSvgHazards(data.toString('utf8'));
  if (hazards.length > 0)
    throw new ProblemError(
      hazards.map((h) => ({ ...h, code: `${place.code}-svg`, severity: 'error', path: place.path })),
    );
  return { kind, data };
}

function kindOf(data: Buffer): LogoKind | undefined {
  if (data.subarray(0, 8).equals(Buffer.from('\x89PNG\r\n\x1a\n', 'latin1'))) return 'png';
  if (data.subarray(0, 3).equals(Buffer.from([0xff, 0xd8, 0xff]))) return 'jpeg';
  // a DOCTYPE may stand before the root; it is refused with its own reason
  return /^\uFEFF?\s*<[\s\S]*<?svg[\s>:]/i.test(data.subarray(0, 65536).toString('utf8')) ? 'svg' : undefined;
}
