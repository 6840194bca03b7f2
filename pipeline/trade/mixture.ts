/**
 * Pure elements, and tungsten carbide as a part of what is sintered from it, g/cm³. Au, Ag, Cu:
 * tmtpages.com/specific-gravity.htm; WC: CRC Handbook of Chemistry and Physics; the others from memory.
 */
export const ELEMENT_DENSITY: Readonly<Record<string, number>> = {
  Au: 19.32,
  Ag: 10.49,
  Cu: 8.96,
  Pd: 12.02,
  Ni: 8.91,
  Fe: 7.87,
  Cr: 7.19,
  Zn: 7.14,
  Pt: 21.45,
  Ru: 12.37,
  WC: 15.63,
};

/**
 * Density of an ideal mixture from percent by weight: 100/ρ = Σ wᵢ/ρᵢ. Real alloys differ by a few percent.
 * @throws RangeError for an element without a density, or shares that don't sum to 100 ± 0.1
 */
export function mixtureDensity(composition: Readonly<Record<string, number>>): number {
  let sum = 0;
  let specificVolume = 0;
  for (const [element, share] of Object.entries(composition)) {
    const rho = ELEMENT_DENSITY[element];
    if (!rho) throw new RangeError(`no density is known for element ${element}`);
    sum += share;
    specificVolume += share / rho;
  }
  if (Math.abs(sum - 100) > 0.1) throw new RangeError(`shares sum to ${sum}, not 100`);
  return 100 / specificVolume;
}
