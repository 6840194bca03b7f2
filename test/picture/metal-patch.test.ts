import Color from 'colorjs.io';
import { beforeAll, describe, expect, it } from 'vitest';
import { developFilm, PAPER_WHITE } from '../../pipeline/picture/develop.ts';
import { encodeSrgb } from '../../pipeline/picture/srgb.ts';
import { WHITE_LEVEL } from '../../pipeline/scene/ground.ts';
import { ALLOYS } from '../../pipeline/trade/alloys.ts';
import { FINISHES } from '../../pipeline/trade/finishes.ts';
import { bareScene, film, kernel, quadMesh } from '../tracer/kernel-fixture.ts';

/**
 * A flat polished patch seen straight on under uniform light of radiance 1, as ISO 8654 measures gold colours (flat
 * sample, specular included, D65, 2°): its film value is the reflectance at normal incidence. Reference for colour
 * spaces and differences: colorjs.io (ΔE is CIEDE2000).
 */
// bodies of colour are no metal: kernel-body.test.ts
const alloys = [...ALLOYS.values()].filter(({ body }) => !body);
const labOf = (linear: readonly number[]) => new Color('srgb-linear', [...linear] as never).to('lab-d65');
/** what the alloy's source says; where that is a reflectance or a guess, the table's own value stands for it */
const sourceOf = (alloy: (typeof alloys)[number]) =>
  alloy.lab ? new Color('lab-d65', [...alloy.lab] as never) : labOf(alloy.f0);

let patches: number[][];
beforeAll(async () => {
  const { alphaX, alphaY } = FINISHES.get('polished')!;
  const scene = bareScene({
    mesh: quadMesh([-1, -1, -1], [2, 0, 0], [0, 2, 0]),
    surfaces: [{ alphaX, alphaY, metal: 0, axis: [0, 1, 0] }],
    dome: new Float32Array([1, 1, 1]),
    ground: { kind: 'none', albedo: [0, 0, 0], level: 1 },
    colourways: alloys.map(({ f0, f82 }) => ({ metals: [{ f0, f82 }], gems: [] })),
    width: 4,
    height: 4,
  });
  patches = film(await kernel(), scene, 64).map((values) =>
    [0, 1, 2].map((c) => values.filter((_, i) => i % 3 === c).reduce((a, b) => a + b, 0) / 16),
  );
});

describe('a metal patch', () => {
  it.each(alloys.filter(({ lab }) => lab).map((a) => [a.id, a] as const))(
    'of %s has the CIELAB of its source in the table, to the rounding of three decimals',
    (_, alloy) => {
      expect(labOf(alloy.f0).deltaE2000(sourceOf(alloy))).toBeLessThan(0.15);
    },
  );

  it('is traced as the table’s reflectance, to 0.2 %', () => {
    alloys.forEach(({ f0 }, k) => {
      f0.forEach((f, c) => {
        expect(Math.abs(patches[k][c] / f - 1)).toBeLessThan(0.002);
      });
    });
  });

  /**
   * The display transform is not the identity: PBR Neutral takes 0.04 off the brightest channel (what a coat would reflect)
   * and the whole is scaled so that the white ground is paper white. Light metals come out within 1 ΔE of their source;
   * the offset shows in dark ones, which come out darker: black zirconium by about 5, carbon fibre, darker still, by about 9.
   */
  it('is displayed within ΔE 1 of its source, a dark one within 6, a black one within 10', () => {
    const lines = alloys.map((alloy, k) => {
      const data = Float32Array.from(patches[k]);
      const frame = developFilm({ width: 1, height: 1, data }, WHITE_LEVEL);
      const bytes = [...frame.data].map((v) => Math.round(255 * encodeSrgb(v / PAPER_WHITE)));
      const shown = new Color('srgb', bytes.map((b) => b / 255) as never).to('lab-d65');
      const source = sourceOf(alloy);
      const difference = shown.deltaE2000(source);
      const words = (c: Color) => c.coords.map((v) => Number(v).toFixed(1).padStart(6)).join('');
      const lightness = Number(source.coords[0]);
      expect(difference, alloy.id).toBeLessThan(lightness < 40 ? 10 : lightness < 60 ? 6 : 1);
      return `${alloy.id.padEnd(18)} source${words(source)}  shown${words(shown)}  ΔE ${difference.toFixed(2)}${alloy.lab ? '' : '  (source: its own F0)'}`;
    });
    console.log(lines.join('\n'));
  });

  it('is no more colourful in shade than it is: no chroma above its own under a quarter and an eighth of the light', () => {
    for (const { id, f0 } of alloys)
      for (const light of [0.25, 0.125]) {
        const data = Float32Array.from(f0, (f) => f * light);
        const frame = developFilm({ width: 1, height: 1, data }, WHITE_LEVEL);
        const chroma = (c: readonly number[]) => Math.hypot(...(labOf(c).coords.slice(1) as number[]));
        const shown = chroma([...frame.data].map((v) => v / PAPER_WHITE));
        expect(shown, id).toBeLessThan(chroma([...data]) + 0.05);
      }
  });
});
