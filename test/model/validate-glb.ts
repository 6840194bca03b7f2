/**
 * The Khronos glTF validator, told about compressed meshes.
 *
 * The validator does not decode EXT_meshopt_compression, so it looks at a file twice: as written (structure,
 * materials, extensions) and decompressed (every index, normal and bound).
 *
 * It lives with the tests because the validator is a development dependency.
 */
import { EXTMeshoptCompression, KHRDracoMeshCompression } from '@gltf-transform/extensions';
import validator from 'gltf-validator';
import { glbIO } from '../../pipeline/model/glb.ts';

export interface GlbIssue {
  severity: 'error' | 'warning' | 'info' | 'hint';
  code: string;
  message: string;
  /** JSON pointer into the file */
  pointer: string;
  /** which of the two looks found it */
  seen: 'as written' | 'decompressed';
}

export interface GlbReport {
  /** no errors and no warnings */
  clean: boolean;
  issues: GlbIssue[];
  triangles: number;
}

const SEVERITY = ['error', 'warning', 'info', 'hint'] as const;

/** @throws if the bytes are no GLB at all or cannot be decompressed */
export async function validateGlb(bytes: Uint8Array): Promise<GlbReport> {
  const plain = await decompress(bytes);
  const looks = [
    ['as written', bytes],
    ['decompressed', plain],
  ] as const;
  const report: GlbReport = { clean: true, issues: [], triangles: 0 };
  for (const [seen, data] of looks) {
    const { issues, info } = await validator.validateBytes(data, { maxIssues: 0, writeTimestamp: false });
    report.clean &&= issues.numErrors === 0 && issues.numWarnings === 0;
    report.triangles = info.totalTriangleCount;
    for (const { severity, code, message, pointer = '' } of issues.messages) {
      report.issues.push({ severity: SEVERITY[severity], code, message, pointer, seen });
    }
  }
  return report;
}

/** The same model without compression of its meshes. */
export async function decompress(bytes: Uint8Array): Promise<Uint8Array> {
  const io = await glbIO(Buffer.from(bytes).includes(KHRDracoMeshCompression.EXTENSION_NAME));
  const document = await io.readBinary(bytes);
  document.createExtension(EXTMeshoptCompression).dispose();
  document.createExtension(KHRDracoMeshCompression).dispose();
  return io.writeBinary(document);
}
