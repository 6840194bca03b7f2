/**
 * Plates between which small round diamonds are sorted. Hole sizes differ from set to set, so the class helps to order
 * and to sort a parcel; what is set is measured.
 *
 * Least diameter of each class, mm: diamondconsultants.in/knowledge_centre.php; the last one ends at 3.7 mm.
 */
const SIEVE_CHART: readonly (readonly [fromMm: number, passed: string, held: string])[] = [
  [0.7, '', '0000'],
  [0.8, '0000', '000'],
  [0.9, '000', '0'],
  [1.1, '0', '1'],
  [1.15, '1', '1.5'],
  [1.2, '1.5', '2'],
  [1.25, '2', '2.5'],
  [1.3, '2.5', '3'],
  [1.35, '3', '3.5'],
  [1.4, '3.5', '4'],
  [1.45, '4', '4.5'],
  [1.5, '4.5', '5'],
  [1.55, '5', '5.5'],
  [1.6, '5.5', '6'],
  [1.7, '6', '6.5'],
  [1.8, '6.5', '7'],
  [1.9, '7', '7.5'],
  [2.0, '7.5', '8'],
  [2.1, '8', '8.5'],
  [2.2, '8.5', '9'],
  [2.3, '9', '9.5'],
  [2.4, '9.5', '10'],
  [2.5, '10', '10.5'],
  [2.6, '10.5', '11'],
  [2.7, '11', '11.5'],
  [2.8, '11.5', '12'],
  [2.9, '12', '12.5'],
  [3.0, '12.5', '13'],
  [3.1, '13', '13.5'],
  [3.2, '13.5', '14'],
  [3.3, '14', '14.5'],
  [3.4, '14.5', '15'],
  [3.5, '15', '15.5'],
  [3.6, '15.5', '16'],
];
const END_MM = 3.7;
export const SIEVE_SOURCE = 'diamondconsultants.in/knowledge_centre.php';

/** Such as `−6.5 +6`: what falls through plate 6.5 and stays on plate 6; undefined outside the chart. */
export function sieveClass(diameterMm: number): string | undefined {
  const d = diameterMm + 1e-6;
  if (d >= END_MM) return undefined;
  const found = SIEVE_CHART.findLast(([from]) => d >= from);
  return found && [`−${found[2]}`, ...(found[1] ? [`+${found[1]}`] : [])].join(' ');
}
