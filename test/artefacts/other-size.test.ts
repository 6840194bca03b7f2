/** What a couple is told of resizing, by the metals of a band: common practice, as `trade/bench-care.ts` has it row by row. */
import { expect, it } from 'vitest';
import { otherSize } from '../../pipeline/artefacts/proof-facts.ts';
import type { BandFacts } from '../../pipeline/facts/catalogue-schema.ts';

const told = (alloys: readonly string[], checks: readonly Partial<BandFacts['checks'][number]>[] = []) =>
  otherSize({
    metals: alloys.map((alloy) => ({ alloy })),
    checks,
  } as unknown as Pick<BandFacts, 'checks' | 'metals'>);

it.each([
  // cut, and a piece soldered in or taken out
  [['yellow-18'], 'as-gold'],
  [['white-18-rhodium', 'rose-18'], 'as-gold'],
  // ductile, but no solder takes
  [['titanium'], 'stretched'],
  [['tantalum'], 'stretched'],
  // sintered, of resin, or black by a skin that cracks
  [['tungsten-carbide'], 'remade'],
  [['ceramic-black'], 'remade'],
  [['carbon-fibre'], 'remade'],
  [['zirconium-black'], 'remade'],
  // glass cracks when the metal under it is bent or soldered
  [['yellow-18', 'enamel-black'], 'enamelled-anew'],
  // stretched beside another metal its joint would open
  [['titanium', 'yellow-18'], 'remade'],
  [['yellow-18', 'carbon-fibre'], 'remade'],
])('%s: %s', (alloys, way) => {
  expect(told(alloys)).toBe(way);
});

it('with stones all round it is made anew, whatever its metal', () => {
  expect(told(['yellow-18'], [{ rule: 'full-circle', passed: false }])).toBe('remade');
  expect(told(['yellow-18'], [{ rule: 'full-circle', passed: true }])).toBe('as-gold');
});
