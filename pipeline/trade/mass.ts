/** Grams of a solid: 1 cm³ = 1000 mm³. */
export function gramsOf(volumeMm3: number, densityGcm3: number): number {
  return (volumeMm3 * densityGcm3) / 1000;
}

/** Metric carats (0.2 g) of a stone: ct = V · SG / 200 with V in mm³. */
export function caratsOf(volumeMm3: number, densityGcm3: number): number {
  return (volumeMm3 * densityGcm3) / 200;
}

/**
 * Wording for computed stone weights: approximate, two decimals. A figure must hold to its last place
 * (US 16 CFR 23.18: .50 means .495–.504), hence ordinary rounding. Not legal advice.
 */
export function caratWording(carats: number): string {
  if (carats <= 0) return 'no stones';
  return carats < 0.005 ? 'less than 0.01 ct' : `approx. ${carats.toFixed(2)} ct`;
}

/** Wording for computed metal mass: approximate, since polishing removes up to a tenth and alloys vary. */
export function gramWording(grams: number): string {
  return `approx. ${grams.toFixed(2)} g`;
}
