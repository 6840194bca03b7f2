/** Can this browser trace? Checked once at every start, so that an old one fails with words, not in mid-take. */
import type { Page } from 'puppeteer';

export interface BrowserFitness {
  /** 128-bit SIMD in WebAssembly (Chromium 91 and later) */
  simd: boolean;
  /** a module worker starts and answers */
  workers: boolean;
  /** shared memory, which needs cross-origin isolation */
  sharedMemory: boolean;
}

/**
 * The smallest module that uses SIMD: a function of type () → v128 that splats a constant
 * (WebAssembly Core Specification 2.0, section 5: 0x7b = v128, 0xfd 0x0f = i8x16.splat).
 */
const SIMD_MODULE = [
  0, 97, 115, 109, 1, 0, 0, 0, 1, 5, 1, 96, 0, 1, 123, 3, 2, 1, 0, 10, 8, 1, 6, 0, 65, 0, 253, 15, 11,
];

/** `page` must stand on a page of the page server. */
export function browserFitness(page: Page): Promise<BrowserFitness> {
  return page.evaluate(async (simdModule) => {
    const worker = new Worker(new URL('worker.js', location.href), { type: 'module' });
    // A pass before the take began is refused in words: proof that the worker's script runs.
    const workers = await new Promise<boolean>((resolve) => {
      worker.onmessage = () => resolve(true);
      worker.onerror = () => resolve(false);
      setTimeout(() => resolve(false), 10_000);
      worker.postMessage({ kind: 'pass' });
    });
    worker.terminate();
    return {
      simd: WebAssembly.validate(new Uint8Array(simdModule)),
      workers,
      sharedMemory: globalThis.crossOriginIsolated && typeof SharedArrayBuffer === 'function',
    };
  }, SIMD_MODULE);
}
