import Color from 'colorjs.io';
import { describe, expect, it } from 'vitest';
import { albedoTable } from '../../pipeline/tracer/albedo-table.ts';
import { LONGEST, matching, SHORTEST, waveTable } from '../../pipeline/tracer/spectrum.ts';

/** CIE 1931 2° observer (CIE 15; CIE S 014-1), nm, x̄, ȳ, z̄. */
const OBSERVER = [
  [420, 0.13438, 0.004, 0.6456],
  [440, 0.34828, 0.023, 1.74706],
  [460, 0.2908, 0.06, 1.6692],
  [480, 0.09564, 0.13902, 0.81295],
  [500, 0.0049, 0.323, 0.272],
  [520, 0.06327, 0.71, 0.07825],
  [540, 0.2904, 0.954, 0.0203],
  [560, 0.5945, 0.995, 0.0039],
  [580, 0.9163, 0.87, 0.00165],
  [600, 1.0622, 0.631, 0.0008],
  [620, 0.85445, 0.381, 0.00019],
  [640, 0.4479, 0.175, 0.00002],
  [660, 0.1649, 0.061, 0],
];

/** Lobes of Wyman, Sloan and Shirley, JCGT 2(2), 2013: height, centre, width below and above, nm. */
const LOBES = [
  [
    [1.056, 599.8, 37.9, 31],
    [0.362, 442, 16, 26.7],
    [-0.065, 501.1, 20.4, 26.2],
  ],
  [
    [0.821, 568.8, 46.9, 40.5],
    [0.286, 530.9, 16.3, 31.1],
  ],
  [
    [1.217, 437, 11.8, 36],
    [0.681, 459, 26, 13.8],
  ],
];
const fitted = (nm: number) =>
  LOBES.map((lobes) =>
    lobes.reduce((sum, [height, centre, below, above]) => {
      const t = (nm - centre) / (nm < centre ? below : above);
      return sum + height * Math.exp((-t * t) / 2);
    }, 0),
  );

describe('colour matching functions', () => {
  it('lie within the fit’s error of the CIE’s table', () => {
    for (const [nm, ...xyz] of OBSERVER)
      matching(nm).forEach((v, i) => {
        expect(Math.abs(v - xyz[i]), `${nm} nm, ${i}`).toBeLessThan(0.035);
      });
  });

  it('have the lobes that the paper prints', () => {
    for (let nm = 400; nm <= 680; nm += 3.7)
      fitted(nm).forEach((v, i) => {
        expect(matching(nm)[i]).toBeCloseTo(v, 12);
      });
  });
});

describe('table of wavelengths', () => {
  /** Linear Rec. 709 by colorjs.io, cut at zero; from 400 to 680 nm in steps of a twentieth. */
  const step = 0.05;
  const origin = [0, 1, 2].map(
    (i) =>
      new Color('xyz-d65', [0, 1, 2].map((k) => (k === i ? 1 : 0)) as [number, number, number]).to(
        'srgb-linear',
      ).coords,
  );
  const visible = (nm: number) => {
    const xyz = fitted(nm);
    return [0, 1, 2].map((c) =>
      Math.max(
        0,
        origin.reduce((sum, column, i) => sum + column[c]! * xyz[i], 0),
      ),
    );
  };
  const grid = Array.from({ length: 280 / step }, (_, i) => visible(400 + (i + 0.5) * step));
  const total = [0, 1, 2].map((c) => grid.reduce((sum, w) => sum + w[c], 0));
  const density = grid.map((w) => (w[0] / total[0] + w[1] / total[1] + w[2] / total[2]) / 3);
  const below = [0];
  for (const d of density) below.push(below[below.length - 1] + d);
  const steps = 64;
  const table = waveTable(steps);

  it('reaches over visible light with one entry more than steps', () => {
    expect([SHORTEST, LONGEST]).toEqual([400, 680]);
    expect(table).toHaveLength(4 * (steps + 1));
    expect(table[3]).toBeCloseTo(0.4, 5);
    expect(table[4 * steps + 3]).toBeCloseTo(0.68, 4);
  });

  it('picks wavelengths in proportion to the sum of the three weights', () => {
    for (let k = 1; k < steps; k++) {
      const at = (1000 * table[4 * k + 3] - 400) / step;
      const i = Math.floor(at);
      expect(below[i] + (at - i) * density[i], `entry ${k}`).toBeCloseTo(k / steps, 3);
    }
  });

  it('weighs each channel by what it sees of the wavelength, by 1 on the mean and by 3 in sum', () => {
    for (let k = 1; k < steps; k++) {
      const w = visible(1000 * table[4 * k + 3]).map((v, c) => v / total[c]);
      const sum = w[0] + w[1] + w[2];
      for (let c = 0; c < 3; c++)
        expect(Math.abs(table[4 * k + c] - (3 * w[c]) / sum), `entry ${k}, ${c}`).toBeLessThan(0.01);
    }
    for (let c = 0; c < 3; c++) {
      let mean = 0;
      for (let k = 0; k < steps; k++) mean += (table[4 * k + c] + table[4 * k + 4 + c]) / (2 * steps);
      expect(mean).toBeCloseTo(1, 6);
    }
  });
});

/**
 * Directional albedo by another road: the lobe D G₂/(4 cos θ) (GGX, height-correlated Smith; Heitz, JCGT 3(2), 2014)
 * summed over even patches of the hemisphere of light.
 */
function albedo(mu: number, phi: number, ax: number, ay: number): number {
  const sine = Math.sqrt(1 - mu * mu);
  const v = [sine * Math.cos(phi), sine * Math.sin(phi), mu];
  const smith = ([x, y, z]: number[]) => (Math.sqrt(1 + ((x * ax) ** 2 + (y * ay) ** 2) / z ** 2) - 1) / 2;
  const [up, round] = [120, 240];
  let sum = 0;
  for (let i = 0; i < up; i++) {
    const z = (i + 0.5) / up;
    const r = Math.sqrt(1 - z * z);
    for (let j = 0; j < round; j++) {
      const turn = (2 * Math.PI * (j + 0.5)) / round;
      const l = [r * Math.cos(turn), r * Math.sin(turn), z];
      const h = v.map((c, k) => c + l[k]);
      const size = Math.hypot(...h);
      const [hx, hy, hz] = h.map((c) => c / size);
      const d = 1 / (Math.PI * ax * ay * ((hx / ax) ** 2 + (hy / ay) ** 2 + hz ** 2) ** 2);
      sum += d / (1 + smith(v) + smith(l)) / (4 * mu);
    }
  }
  return (sum * 2 * Math.PI) / (up * round);
}

describe('table of albedos', () => {
  it.each([
    [0.4, 0.4],
    [0.7, 0.7],
    [0.3, 0.6],
    [0.6, 0.25],
  ])('of α %f by %f agrees with the lobe summed over the hemisphere', (ax, ay) => {
    const [columns, rows] = [5, 3];
    const table = albedoTable(columns, rows, ax, ay);
    expect(table).toHaveLength(columns * rows);
    for (let j = 0; j < rows; j++)
      for (let i = 1; i < columns; i++) {
        // over √cos θ and over cos² φ
        const phi = Math.acos(Math.sqrt(j / (rows - 1)));
        const expected = albedo((i / (columns - 1)) ** 2, phi, ax, ay);
        expect(Math.abs(table[j * columns + i] / expected - 1), `${i} ${j}`).toBeLessThan(0.004);
      }
  });

  it('comes to 1 for what is nearly smooth, and keeps light at grazing view', () => {
    expect(albedoTable(4, 2, 0.015, 0.015)[3]).toBeCloseTo(1, 3);
    // where view grazes, all microfacets seen stand towards it: G₂/G₁ of a lobe nearly along the surface
    for (const e of [albedoTable(4, 2, 0.4, 0.4)[0], albedoTable(4, 3, 0.3, 0.6)[0]]) {
      expect(e).toBeGreaterThan(0.3);
      expect(e).toBeLessThan(1);
    }
  });

  it('is made once for the process', () => {
    expect(albedoTable(3, 2, 0.2, 0.3)).toBe(albedoTable(3, 2, 0.2, 0.3));
    expect(albedoTable(3, 2, 0.2, 0.3)).not.toBe(albedoTable(3, 2, 0.3, 0.2));
  });
});
