/**
 * The browser session against three-gpu-pathtracer (WebGL) in the same Chromium: the same band with the same stones,
 * 256 × 256 pixels, 8 bounces, one colourway. Without a GPU the peer's shaders run on the processor too (SwiftShader),
 * on all cores, as ours do. What differs: the peer traces stones as triangles and its lobes are its own; it stops at 8
 * bounces and 5 more through glass (its default), ours at 32 surfaces with up to 128 reflections in each stone.
 */
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { launch } from 'puppeteer';
import { findBrowsers } from '../../pipeline/tracer/browser-search.mjs';
import { encodeScene } from '../../pipeline/tracer/scene-blob.ts';
import { createTracerSession } from '../../pipeline/tracer/session.ts';
import { demoBand, demoScene } from './demo-band.ts';
import { type Measurement, median } from './measurement.ts';
import { pathsPerSecond } from './session-speed.ts';

export const SIDE = 256;

/** What the page in webgl-page.ts answers. */
export interface PeerAnswer {
  renderer: string;
  compileSeconds: number;
  secondsPerSample: number[];
  /** mean of the picture's red, green and blue: zero would mean that nothing was traced */
  mean: number;
}

export const webglPeer: Measurement = {
  name: 'webgl',
  about:
    'paths per second against three-gpu-pathtracer on software GL (wall clock, all cores; its compile takes a minute)',
  async run({ quick, record, say }) {
    const { stone } = await demoBand();
    const scene = await demoScene(SIDE, 1);
    const session = await createTracerSession();
    const server = await serve(await pageScript(), encodeScene({ ...scene, stoneMesh: stone.mesh } as never));
    try {
      await session.start();
      const ours = () => pathsPerSecond(session, scene, 32);
      const before = await ours();
      const peer = await askPeer(server, quick ? 2 : 8);
      const after = await ours();
      if (!(peer.mean > 0)) throw new Error('the peer drew nothing');
      const theirs = (SIDE * SIDE) / median(peer.secondsPerSample);
      say(
        `${peer.renderer}; compiled in ${peer.compileSeconds.toFixed(0)} s; mean of its picture ${peer.mean.toFixed(3)}`,
      );
      record('webgl_paths_per_second', theirs);
      record('webgl_compile_s', peer.compileSeconds, 's');
      record('webgl_paths_ratio', median([before, after]) / theirs);
    } finally {
      server.close();
      await session.close();
    }
  },
};

async function askPeer(server: Server, samples: number): Promise<PeerAnswer> {
  for await (const found of findBrowsers({})) {
    if (found.fault) continue;
    const browser = await launch({
      executablePath: found.path,
      env: { ...process.env, ...found.env },
      headless: 'shell',
      args: [
        '--no-sandbox',
        '--use-angle=swiftshader',
        '--enable-unsafe-swiftshader',
        '--ignore-gpu-blocklist',
      ],
      protocolTimeout: 600_000,
    });
    try {
      const page = await browser.newPage();
      const faults: string[] = [];
      page.on('pageerror', (error) => faults.push(String(error)));
      await page.goto(`http://127.0.0.1:${(server.address() as AddressInfo).port}/`);
      await page.waitForFunction('window.tracePeer', { timeout: 60_000 }).catch((error) => {
        throw new Error(faults[0] ?? error.message);
      });
      return (await page.evaluate(`tracePeer(${samples})`)) as PeerAnswer;
    } finally {
      await browser.close();
    }
  }
  throw new Error('no browser');
}

async function pageScript(): Promise<Uint8Array> {
  const { outputFiles } = await build({
    entryPoints: [fileURLToPath(new URL('webgl-page.ts', import.meta.url))],
    bundle: true,
    format: 'esm',
    target: 'chrome100',
    loader: { '.png': 'dataurl' },
    write: false,
    logLevel: 'silent',
  });
  return outputFiles[0].contents;
}

async function serve(script: Uint8Array, scene: Uint8Array): Promise<Server> {
  const page = '<!doctype html><meta charset="utf-8"><script type="module" src="page.js"></script>';
  const answers: Record<string, [string, string | Uint8Array]> = {
    '/': ['text/html', page],
    '/page.js': ['text/javascript', script],
    '/scene': ['application/octet-stream', scene],
  };
  const server = createServer((request, response) => {
    const [type, body] = answers[request.url ?? ''] ?? ['text/plain', ''];
    response.writeHead(body === '' ? 404 : 200, { 'Content-Type': type }).end(body);
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  return server;
}
