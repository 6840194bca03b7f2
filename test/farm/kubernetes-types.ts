/**
 * Kubernetes objects held against the published API types: `kubernetes-types` is generated from the OpenAPI document of
 * Kubernetes 1.30, and TypeScript refuses unknown keys, wrong types and missing ones in an object literal.
 */
import ts from 'typescript';

const PLACES: Record<string, string> = {
  'v1 Service': 'core/v1',
  'v1 PersistentVolumeClaim': 'core/v1',
  'batch/v1 Job': 'batch/v1',
  'apps/v1 Deployment': 'apps/v1',
};

export interface KubernetesObject {
  apiVersion: string;
  kind: string;
}

/** @returns what TypeScript has to say, one line each; none if all fit */
export function misfits(objects: readonly KubernetesObject[]): string[] {
  const source = objects
    .map((object, i) => {
      const place = PLACES[`${object.apiVersion} ${object.kind}`];
      if (!place)
        throw new RangeError(`expected a known kind but received ${object.apiVersion} ${object.kind}`);
      const type = `import('kubernetes-types/${place}').${object.kind}`;
      return `export const object${i}: ${type} = ${JSON.stringify(object)};`;
    })
    .join('\n');
  const file = 'objects.ts';
  const options: ts.CompilerOptions = {
    strict: true,
    noEmit: true,
    skipLibCheck: true,
    types: [],
    target: ts.ScriptTarget.ES2022,
    module: ts.ModuleKind.ESNext,
    moduleResolution: ts.ModuleResolutionKind.Bundler,
    lib: ['lib.es5.d.ts'],
  };
  const host = ts.createCompilerHost(options);
  const { getSourceFile, fileExists } = host;
  host.fileExists = (name) => name.endsWith(file) || fileExists(name);
  host.getSourceFile = (name, target) =>
    name === file ? ts.createSourceFile(name, source, target) : getSourceFile(name, target);
  const program = ts.createProgram([file], options, host);
  return ts.getPreEmitDiagnostics(program).map((d) => ts.flattenDiagnosticMessageText(d.messageText, ' '));
}
