/**
 * The browser session against three-gpu-pathtracer (WebGL) in the same Chromium: the same band with the same stones,
 * 256 × 256 pixels, 8 bounces, one colourway. Without a GPU the peer's shaders run on the processor too (SwiftShader),
 * on all cores, as ours do. What differs: the peer traces stones as triangles and its lobes are its own; it stops at 8
 * bounces and 5 more through glass (its default), ours at 32 surfaces with up to 128 reflections in each stone.
 *
 * Radiance is compared where both should agree: the mean over a frame full of a satin gold ball between the demo's
 * softboxes, one surface deep, nothing else shining. What is left between them: the peer gives no energy back that its lobe
 * loses between microfacets (about 1 % at this roughness), and its noise. With the demo's dome on as well the peer's
 * mean was 5 % above ours (8 samples): our softboxes hide the dome behind them, and its samples of the sky look past them, as
 * far as one can tell. Ours under dome and softbox is held to quadrature in test/tracer/kernel-reference.test.ts.
 */
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { launch } from 'puppeteer';
import type { TraceScene, Vec3 } from '../../pipeline/scene/trace-scene.ts';
import { CACHE_DIR } from '../../pipeline/store/installation.mjs';
import { findBrowsers } from '../../pipeline/tracer/browser-search.mjs';
import { encodeScene } from '../../pipeline/tracer/scene-blob.ts';
import { createTracerSession } from '../../pipeline/tracer/session.ts';
import { bareScene, sphereMesh } from '../tracer/kernel-fixture.ts';
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
    const ball = ballScene(scene);
    const blob = (s: TraceScene) => encodeScene({ ...s, stoneMesh: stone.mesh } as never);
    const server = await serve(await pageScript(), { '/scene': blob(scene), '/ball': blob(ball) });
    try {
      await session.start();
      const ours = () => pathsPerSecond(session, scene, 32);
      const before = await ours();
      const [peer, peerBall] = await askPeer(server, [
        ['scene', quick ? 2 : 8],
        ['ball', quick ? 8 : 64],
      ]);
      const after = await ours();
      if (!(peer.mean > 0)) throw new Error('the peer drew nothing');
      const theirs = (SIDE * SIDE) / median(peer.secondsPerSample);
      say(
        `${peer.renderer}; compiled in ${peer.compileSeconds.toFixed(0)} s; mean of its picture ${peer.mean.toFixed(3)}`,
      );
      record('webgl_paths_per_second', theirs);
      record('webgl_compile_s', peer.compileSeconds, 's');
      record('webgl_paths_ratio', median([before, after]) / theirs);
      const [film] = (await session.trace(ball, { seed: 1, noiseTarget: 0, passCap: 64 })).films;
      const mean = film.data.reduce((sum, v) => sum + v, 0) / film.data.length;
      say(`satin gold ball: mean radiance ${mean.toFixed(4)}, the peer's ${peerBall.mean.toFixed(4)}`);
      record('webgl_radiance_ratio', mean / peerBall.mean);
    } finally {
      server.close();
      await session.close();
    }
  },
};

/** A ball that fills the frame, between lights without soft ends and without black cards, which the peer has not. */
function ballScene(scene: TraceScene): TraceScene {
  const f0: Vec3 = [0.9, 0.694, 0.452];
  // on the curve without a tint, which is the peer's
  const f82 = f0.map((f) => f + (1 - f) * (1 - Math.cos((82 * Math.PI) / 180)) ** 5) as Vec3;
  const { eye, target } = scene.camera;
  const distance = Math.hypot(eye[0] - target[0], eye[1] - target[1], eye[2] - target[2]);
  return bareScene({
    mesh: sphereMesh(10, target),
    surfaces: [{ alphaX: 0.09, alphaY: 0.09, metal: 0, axis: [0, 0, 1] }],
    colourways: [{ metals: [{ f0, f82 }], gems: [] }],
    lights: scene.lights
      .filter((light) => Math.max(...light.radiance) > 0)
      .map((light) => ({ ...light, falloff: 0 })),
    dome: new Float32Array(3),
    camera: { ...scene.camera, lensRadius: 0, fovY: 2 * Math.atan(6 / distance) },
    width: SIDE,
    height: SIDE,
  });
}

async function askPeer(server: Server, jobs: [scene: string, samples: number][]): Promise<PeerAnswer[]> {
  for await (const found of findBrowsers({ cacheDir: CACHE_DIR })) {
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
      const answers: PeerAnswer[] = [];
      for (const [scene, samples] of jobs)
        answers.push((await page.evaluate(`tracePeer('${scene}', ${samples})`)) as PeerAnswer);
      return answers;
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

async function serve(script: Uint8Array, scenes: Record<string, Uint8Array>): Promise<Server> {
  const page = '<!doctype html><meta charset="utf-8"><script type="module" src="page.js"></script>';
  const answers: Record<string, readonly [string, string | Uint8Array]> = {
    '/': ['text/html', page],
    '/page.js': ['text/javascript', script],
    ...Object.fromEntries(
      Object.entries(scenes).map(([path, scene]) => [path, ['application/octet-stream', scene] as const]),
    ),
  };
  const server = createServer((request, response) => {
    const [type, body] = answers[request.url ?? ''] ?? ['text/plain', ''];
    response.writeHead(body === '' ? 404 : 200, { 'Content-Type': type }).end(body);
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  return server;
}
