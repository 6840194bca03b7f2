/**
 * Wavelengths for dispersion. A path that enters a dispersive stone picks one wavelength for good (which may do so, and
 * where there are three of it: `kernel/stone-vertex.ts`) and carries an RGB weight for it; the weights' mean over the picked wavelengths is (1, 1, 1), so that what doesn't depend on wavelength
 * keeps its colour.
 *
 * Weights come from the CIE 1931 2° colour-matching functions in linear Rec. 709 under equal-energy light. Pure spectral
 * light lies outside Rec. 709, so each channel has negative lobes (red around 500 nm). They are cut at zero here, per
 * wavelength, and the channels normalised again: films stay non-negative and, because a path picks its wavelength in
 * proportion to the sum of the three weights, every weight lies between 0 and 3. The price is saturation of near-spectral
 * flashes, most of which the display's gamut would have cut anyway. Keeping the lobes was rejected: weights then run from
 * −1.7 to 4.2 even with the best choice of wavelengths, and single facets would come out negative however long they are traced.
 */

/** nm */
export const SHORTEST = 400;
export const LONGEST = 680;

/** Asymmetric Gaussian. */
function lobe(x: number, centre: number, below: number, above: number): number {
  const t = (x - centre) / (x < centre ? below : above);
  return Math.exp(-0.5 * t * t);
}

/**
 * CIE 1931 2° colour-matching functions by the multi-lobe fit of Wyman, Sloan, Shirley, "Simple Analytic Approximations
 * to the CIE XYZ Color Matching Functions", JCGT 2(2), 2013. Wavelength in nm.
 */
export function matching(nm: number): [number, number, number] {
  return [
    1.056 * lobe(nm, 599.8, 37.9, 31.0) +
      0.362 * lobe(nm, 442.0, 16.0, 26.7) -
      0.065 * lobe(nm, 501.1, 20.4, 26.2),
    0.821 * lobe(nm, 568.8, 46.9, 40.5) + 0.286 * lobe(nm, 530.9, 16.3, 31.1),
    1.217 * lobe(nm, 437.0, 11.8, 36.0) + 0.681 * lobe(nm, 459.0, 26.0, 13.8),
  ];
}

/** XYZ → linear Rec. 709 (IEC 61966-2-1), cut at zero. */
function visible([x, y, z]: [number, number, number]): [number, number, number] {
  return [
    Math.max(0, 3.2406 * x - 1.5372 * y - 0.4986 * z),
    Math.max(0, -0.9689 * x + 1.8758 * y + 0.0415 * z),
    Math.max(0, 0.0557 * x - 0.204 * y + 1.057 * z),
  ];
}

/**
 * `steps` + 1 entries r g b λ[µm] over a uniform variate in [0, 1]; linear between entries. The mean of each channel over
 * the variate is 1.
 */
export function waveTable(steps: number): Float32Array {
  const FINE = 2800;
  const step = (LONGEST - SHORTEST) / FINE;
  const weights = Array.from({ length: FINE }, (_, i) => visible(matching(SHORTEST + (i + 0.5) * step)));
  const total = [0, 1, 2].map((c) => weights.reduce((sum, w) => sum + w[c], 0));
  const density = weights.map((w) => (w[0] / total[0] + w[1] / total[1] + w[2] / total[2]) / 3);

  const table = new Float32Array((steps + 1) * 4);
  let below = 0;
  let i = 0;
  for (let k = 0; k <= steps; k++) {
    const u = k / steps;
    while (i < FINE - 1 && below + density[i] < u) below += density[i++];
    const inside = Math.min(Math.max((u - below) / density[i], 0), 1);
    const nm = SHORTEST + (i + inside) * step;
    const w = visible(matching(nm)).map((v, c) => v / total[c]);
    const sum = (w[0] + w[1] + w[2]) / 3;
    for (let c = 0; c < 3; c++) table[4 * k + c] = w[c] / sum;
    table[4 * k + 3] = nm / 1000;
  }
  for (let c = 0; c < 3; c++) {
    let mean = 0;
    for (let k = 0; k < steps; k++) mean += (table[4 * k + c] + table[4 * k + 4 + c]) / (2 * steps);
    for (let k = 0; k <= steps; k++) table[4 * k + c] /= mean;
  }
  return table;
}
