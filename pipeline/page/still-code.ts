import { fileURLToPath } from 'node:url';

const bundled = new Map<string, Promise<string>>();

/** The script that draws a model once (`reader/still.ts`). */
export const stillCode = () => pageScript('./reader/still.ts');

/** The script that writes films (`reader/movie.ts`). */
export const movieCode = () => pageScript('./reader/movie.ts');

/** A script for a page of its own, bundled once per process. */
function pageScript(entry: string): Promise<string> {
  const script = bundled.get(entry) ?? bundle(entry);
  bundled.set(entry, script);
  return script;
}

async function bundle(entry: string): Promise<string> {
  const { build } = await import('esbuild');
  const { outputFiles } = await build({
    entryPoints: [fileURLToPath(new URL(entry, import.meta.url))],
    bundle: true,
    format: 'iife',
    target: 'es2022',
    minify: true,
    write: false,
    logLevel: 'silent',
  });
  return outputFiles[0].text;
}
