import { fileURLToPath } from 'node:url';

let bundled: Promise<string> | undefined;

/** The script that draws a model once (`page/still.ts`), bundled once per process. */
export function stillCode(): Promise<string> {
  bundled ??= bundle();
  return bundled;
}

async function bundle(): Promise<string> {
  const { build } = await import('esbuild');
  const { outputFiles } = await build({
    entryPoints: [fileURLToPath(new URL('./reader/still.ts', import.meta.url))],
    bundle: true,
    format: 'iife',
    target: 'es2022',
    minify: true,
    write: false,
    logLevel: 'silent',
  });
  return outputFiles[0].text;
}
