/** Index, dispersion and absorption of stones: the rows of species that bend light alike, and the laws that use them. */
import type { Rgb } from './rgb.ts';

/** How a species bends light. */
export interface Optics {
  /** refractive index at 589.3 nm */
  indexD: number;
  /** index at 430.8 nm (G) less index at 686.7 nm (B) */
  dispersionBG: number;
  source: string;
}

const GEM_TABLES =
  'index and B–G dispersion: Read, Gemmology, 3rd ed. 2005, appendix tables (from memory); gemmology-dev species data';
const DB = 'refractiveindex.info-database';

/** Birefringent species use one ray: doubling is too small to see in melee (moissanite apart, see its caution). */
export const OPTICS: Record<string, Optics> = {
  diamond: {
    indexD: 2.417,
    dispersionBG: 0.044,
    source: `${GEM_TABLES}; ${DB} main/C/nk/Peter.yml (2.4173, .0444)`,
  },
  moissanite: {
    indexD: 2.648,
    dispersionBG: 0.104,
    source: `${GEM_TABLES}; ${DB} main/SiC/nk/Wang-6H-o.yml (2.6474)`,
  },
  corundum: {
    indexD: 1.768,
    dispersionBG: 0.018,
    source: `${GEM_TABLES}; ${DB} main/Al2O3/nk/Malitson-o.yml (1.7681, .0181)`,
  },
  beryl: { indexD: 1.58, dispersionBG: 0.014, source: `${GEM_TABLES}: 1.577–1.583, middle taken` },
  quartz: {
    indexD: 1.544,
    dispersionBG: 0.013,
    source: `${GEM_TABLES}; ${DB} main/SiO2/nk/Ghosh-o.yml (1.5442, .0133)`,
  },
  'cubic-zirconia': {
    indexD: 2.16,
    dispersionBG: 0.06,
    source: `${GEM_TABLES}; ${DB} other/mixed crystals/ZrO2-Y2O3/nk/Wood.yml (2.1585, .0604)`,
  },
};

/** 1/λG² − 1/λB² in µm⁻²: turns a B–G dispersion into Cauchy's B. */
const CAUCHY_SPAN = 1 / 0.4308 ** 2 - 1 / 0.6867 ** 2;
const D_LINE_UM = 0.5893;

/** Two-term Cauchy curve through n at the D line with the given B–G dispersion. */
export function cauchy(indexD: number, dispersionBG: number): { cauchyA: number; cauchyB: number } {
  const cauchyB = dispersionBG / CAUCHY_SPAN;
  return { cauchyA: indexD - cauchyB / D_LINE_UM ** 2, cauchyB };
}

/**
 * Napierian absorption per mm of a material that passes the share `transmission` (0 < c ≤ 1) over `overMm`:
 * σ = −ln(c)/d, Beer–Lambert, as in Khronos glTF KHR_materials_volume.
 */
export function absorptionPerMm(transmission: Rgb, overMm: number): Rgb {
  return transmission.map((c) => (c >= 1 ? 0 : -Math.log(c) / overMm)) as Rgb;
}
