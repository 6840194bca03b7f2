/** Functions the WebAssembly module exports; pointers are byte offsets into the shared memory. */
export interface KernelExports {
  measureGround(from: number, to: number): void;
  measurePlaces(x0: number, x1: number, x2: number, x3: number, z: number, out: number): void;
  probeIrradiance(x: number, z: number, out: number): void;
  render(
    x: number,
    y: number,
    w: number,
    h: number,
    from: number,
    to: number,
    seed: number,
    pixels: number,
  ): number;
  features(x: number, y: number, w: number, h: number, seed: number, samples: number, ofMixed: number): void;
  closestBatch(rays: number, count: number, t: number, primitive: number): void;
  occludedBatch(rays: number, count: number, hit: number): void;
  /* windows for tests, see kernel/probe.ts */
  fresnel(cosine: number, ratio: number): number;
  probeAlbedo(surface: number, x: number, y: number, z: number): number;
  probeBody(
    surface: number,
    x: number,
    y: number,
    z: number,
    ix: number,
    iy: number,
    iz: number,
    out: number,
  ): void;
  probePattern(wood: number, numbers: number, x: number, y: number, z: number): number;
  probePairs(seed: number, pair: number, count: number, out: number): void;
  probeLobe(
    x: number,
    y: number,
    z: number,
    ax: number,
    ay: number,
    seed: number,
    count: number,
    out: number,
  ): void;
  probeLobePdf: OfDirections;
  probeLobeValue: OfDirections;
  probeLights(px: number, py: number, pz: number, seed: number, count: number, out: number): void;
  probeLightPdf(px: number, py: number, pz: number, dx: number, dy: number, dz: number): number;
  probeEmitted(light: number, a: number, b: number): number;
  probeWave(u: number, out: number): void;
  probeDecay(x: number): number;
  probeLeave(stone: number, rays: number, count: number): number;
}

/** A figure of a lobe of these roughnesses along and across, for light that leaves by x, y, z and comes from ix, iy, iz. */
type OfDirections = (
  x: number,
  y: number,
  z: number,
  ax: number,
  ay: number,
  ix: number,
  iy: number,
  iz: number,
) => number;
