import { afterAll, describe, expect, it } from 'vitest';
import { boreRadius } from '../../pipeline/band/lane.ts';
import {
  boreDrawing,
  sectionAngles,
  sectionDrawing,
  sectionScale,
  UNROLLED_SCALE,
  unrolledDrawing,
} from '../../pipeline/papers/bench-drawing.ts';
import { benchSheet } from '../../pipeline/papers/bench-sheet.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { createTracerSession, type TracerSession } from '../../pipeline/tracer/session.ts';
import { BEVEL, SOFT, STEP } from '../band/bodies.ts';
import { bandDesign, wavyDesign } from '../band/designs.ts';
import { expectStylesByHash } from '../page/content-policy.ts';
import { sampleBand } from '../publish/sample-items.ts';
import { seamedBand } from '../setting/marked-designs.ts';
import { straightRowDesign } from '../setting/stone-designs.ts';

/** Points of every element of a class, in mm of paper. */
function outlines(svg: string, kind: string): [number, number][][] {
  return [...svg.matchAll(new RegExp(`<[a-z]+ class="${kind}[ "][^>]*(?:points| d)="([^"]+)"`, 'g'))].map(
    ([, list]) =>
      [...list.matchAll(/(-?[\d.]+)[ ,](-?[\d.]+)/g)].map(([, x, y]): [number, number] => [
        Number(x),
        Number(y),
      ]),
  );
}
const extent = (points: [number, number][], k: 0 | 1) =>
  Math.max(...points.map((p) => p[k])) - Math.min(...points.map((p) => p[k]));
const figures = (svg: string) => [...svg.matchAll(/>(\d+\.\d\d)<\/text>/g)].map(([, t]) => Number(t));

/** Complete elliptic integral of the second kind by the arithmetic-geometric mean (DLMF 19.8.6). */
function ellipticE(m: number): number {
  let [a, b, sum, power] = [1, Math.sqrt(1 - m), m / 2, 1];
  for (let i = 0; i < 40; i++) {
    const c = (a - b) / 2;
    [a, b] = [(a + b) / 2, Math.sqrt(a * b)];
    sum += power * c * c;
    power *= 2;
  }
  return (Math.PI / (2 * a)) * (1 - sum);
}

describe('drawings to scale', () => {
  it('show an inlay in its channel, without a line through the metal beneath it', () => {
    const lane = (name: string, more = {}) => ({ name, recessMm: 0, softenMm: 0, ...more });
    const design = bandDesign({
      widthMm: 6,
      thicknessMm: 2,
      seams: [-1, 1].map((atMm) => ({ kind: 'straight', atMm })),
      lanes: [lane('near'), lane('strip', { inlay: { depthMm: 0.8, bed: 'near' } }), lane('far')],
    });
    const svg = sectionDrawing(design, 0, [['near', 'far'], ['strip']]);
    const [near, strip, far] = outlines(svg, 'metal');
    expect([extent(near, 0), extent(near, 1)]).toEqual([expect.closeTo(40, 2), expect.closeTo(20, 2)]);
    expect([extent(strip, 0), extent(strip, 1)]).toEqual([expect.closeTo(20, 2), expect.closeTo(8, 2)]);
    expect(extent(far, 0)).toBeCloseTo(20, 2);
    // one piece of metal: from the bore to the floor at the far seam, 12 mm of paper less the line's own width
    const within = [
      ...svg.matchAll(/class="within m0" x1="([\d.]+)" y1="([\d.]+)" x2="([\d.]+)" y2="([\d.]+)"/g),
    ];
    expect(within).toHaveLength(1);
    const [x1, y1, x2, y2] = within[0].slice(1).map(Number);
    expect(x1).toBe(x2);
    expect(y1 - y2).toBeCloseTo(12 - 0.24, 2);
    expect(sectionDrawing(design, 0, [['near'], ['strip'], ['far']])).not.toContain('within');
  });

  it('show edges between facets, straight ones where they should be', () => {
    const facets = { count: 12, depthMm: 0.5, slantRad: 0 };
    const design = bandDesign({ thicknessMm: 2, lanes: [{ name: 'all', recessMm: 0, softenMm: 0, facets }] });
    const edges = outlines(unrolledDrawing(design), 'facet');
    expect(edges).toHaveLength(12);
    const apart = (2 * UNROLLED_SCALE * Math.PI * (boreRadius(design) + 2)) / 12;
    const xs = edges.map((edge) => edge[0][0]).sort((a, b) => a - b);
    for (const edge of edges) expect(extent(edge, 0)).toBeCloseTo(0, 2);
    for (const [i, x] of xs.slice(1).entries()) expect(x - xs[i]).toBeCloseTo(apart, 2);
    // facets that lean by turns meet along lines that lean as well
    const slanting = { ...design, lanes: [{ ...design.lanes[0], facets: { ...facets, slantRad: 0.1 } }] };
    for (const edge of outlines(unrolledDrawing(slanting), 'facet'))
      expect(extent(edge, 0)).toBeGreaterThan(0.5);
  });

  it('show the section at 10:1 with the width, thickness and seams that were designed', () => {
    const design = wavyDesign();
    const svg = sectionDrawing(design, sectionAngles(design)[0]);
    expect(sectionScale(design)).toBe(10);
    const lanes = outlines(svg, 'metal');
    expect(lanes).toHaveLength(2);
    expect(extent(lanes.flat(), 0)).toBeCloseTo(10 * design.widthMm, 2);
    // the wave's first crest: its mean plus its amplitude, from the first edge
    expect(figures(svg)).toEqual([1.7, 2.5 + 0.3 + 0.6, 5]);
    const flat = bandDesign();
    expect(extent(outlines(sectionDrawing(flat, 0), 'metal').flat(), 1)).toBeCloseTo(
      10 * flat.thicknessMm,
      2,
    );
    expect(sectionScale({ ...flat, widthMm: 9 })).toBe(5);
  });

  it('show a tapered, stepped and bevelled band at its top and its back, with corners and risers', () => {
    const step = { ...STEP, sides: 'low' } as const;
    const section = { name: 'bevelled', ...SOFT, comfortMm: 0, bevel: BEVEL, step } as const;
    const taper = { widthMm: 4.8, thicknessMm: 1.6, seams: [] };
    const design = bandDesign({ widthMm: 6, thicknessMm: 2, section, taper });
    const [top, back] = sectionAngles(design).map((theta) => sectionDrawing(design, theta));
    // thickness, then from the first edge: riser, the chamfers' corners, the whole width
    expect(figures(top)).toEqual([2, 0.8, 1.8, 4.7, 6]);
    expect(figures(back)).toEqual([1.6, 0.8, 1.8, 3.5, 4.8]);
    for (const [svg, width, thickness] of [
      [top, 6, 2],
      [back, 4.8, 1.6],
    ] as const) {
      const [outline] = outlines(svg, 'metal');
      expect(extent(outline, 0)).toBeCloseTo(10 * width, 2);
      expect(extent(outline, 1)).toBeCloseTo(10 * thickness, 2);
    }
    const [edge] = outlines(unrolledDrawing(design), 'edge');
    expect(extent(edge, 1)).toBeCloseTo(UNROLLED_SCALE * 6, 2);
  });

  it('unroll a sine seam to its length by the elliptic integral', () => {
    const [A, periods] = [0.6, 5];
    const design: ShapeDesign = wavyDesign({
      seams: [{ kind: 'wave', atMm: 0.3, amplitudeMm: A, periods, sharpness: 0, phaseRad: 0.4 }],
    });
    const [seam] = outlines(unrolledDrawing(design), 'seam');
    const drawn = seam
      .slice(1)
      .reduce((sum, p, i) => sum + Math.hypot(p[0] - seam[i][0], p[1] - seam[i][1]), 0);
    const R = boreRadius(design) + design.thicknessMm;
    const square = R * R + (A * periods) ** 2;
    const exact = 4 * Math.sqrt(square) * ellipticE((A * periods) ** 2 / square);
    expect(Math.abs(drawn / UNROLLED_SCALE / exact - 1)).toBeLessThan(2e-4);
    // a quarter of a turn after the top is right of it, and towards the second edge is down: as seen from outside, since
    // (x, y, z) = (r sin θ, r cos θ, z) is right-handed with θ̂ × ẑ pointing inwards
    const at = (theta: number) => seam[Math.round((720 * (theta + Math.PI)) / (2 * Math.PI))];
    const z = (theta: number) => 0.3 + A * Math.sin(periods * theta + 0.4);
    for (const theta of [0, Math.PI / 2, 0.4]) {
      const step = (2 * Math.PI * Math.round((720 * theta) / (2 * Math.PI))) / 720;
      expect(at(theta)[0] - at(0)[0]).toBeCloseTo(2 * R * step, 2);
      expect(at(theta)[1] - at(0)[1]).toBeCloseTo(2 * (z(step) - z(0)), 2);
    }
    expect(ellipticE(0)).toBeCloseTo(Math.PI / 2, 12);
    expect(ellipticE(0.5)).toBeCloseTo(1.3506438810476755, 12);
  });

  it('number every stone, each in its true size', async () => {
    const design = straightRowDesign({ coverage: { kind: 'arc', angleRad: 1 } });
    const { rows } = await buildShape(design);
    const stones = outlines(unrolledDrawing(design), 'stone');
    expect(stones).toHaveLength(rows[0].count);
    for (const s of stones) {
      expect(extent(s, 0)).toBeCloseTo(2 * 1.5, 1);
      expect(extent(s, 1)).toBeCloseTo(2 * 1.5, 2);
    }
  });
});

describe('marks on the drawings', () => {
  const letters = { text: 'OI', heightMm: 1.5, depthMm: 0.2, style: 'regular', atRad: 2.6 } as const;
  const marks = {
    seam: 'mid',
    milgrain: { beadMm: 0.4, pitchMm: 0.5, lane: 'far' },
    groove: { widthMm: 0.3, depthMm: 0.15, profile: 'v' },
  } as const;
  const design = seamedBand(marks, {
    engraving: {
      inside: letters,
      outside: { ...letters, atRad: 3 * Math.PI, lane: 'far', heightMm: 0.75, style: 'bold' },
    },
  });

  it('show every bead in its place and size, the rims of grooves, and letters at their angle to scale', async () => {
    const svg = unrolledDrawing(design);
    const beads = [...svg.matchAll(/<circle class="bead" cx="([\d.]+)" cy="([\d.]+)" r="([\d.]+)"/g)];
    const shape = await buildShape(design);
    expect(beads).toHaveLength(shape.marks?.milgrain[0].count ?? 0);
    for (const [, , cy, r] of beads) {
      expect(Number(r)).toBeCloseTo(UNROLLED_SCALE * 0.2, 3);
      // beside the groove's rim by the bead's half and its air; the first edge is above
      expect(Number(cy)).toBeCloseTo(8 + 2 * (2.5 + 0.4 + 0.15 + 0.02 + 0.2), 2);
    }
    const [seam, low, high] = outlines(svg, 'seam');
    expect(high[0][1] - low[0][1]).toBeCloseTo(UNROLLED_SCALE * 0.3, 2);
    expect((high[0][1] + low[0][1]) / 2).toBeCloseTo(seam[0][1], 2);
    const bore = boreDrawing(design);
    const [drawn] = outlines(bore, 'letters');
    const { lengthMm } = shape.marks!.engravings[0];
    expect(extent(drawn, 0)).toBeCloseTo(UNROLLED_SCALE * lengthMm, 1);
    const middle = (Math.max(...drawn.map(([x]) => x)) + Math.min(...drawn.map(([x]) => x))) / 2;
    expect(middle).toBeCloseTo(4 + UNROLLED_SCALE * Math.PI * boreRadius(design), 1);
    expect(boreDrawing(bandDesign())).toBe('');
  });
});

describe('the sheet', () => {
  const words = { workshop: 'A & <b>', title: 'T', cautions: ['Weigh "it"'] };
  const failed = {
    rule: 'girdle-gap',
    severity: 'error',
    passed: false,
    limit: 'l',
    measured: 'm',
    place: 'p',
    source: 's',
  } as const;
  const band = sampleBand('S-1', { checks: [failed, { ...failed, waived: 'by hand' }] });
  const html = benchSheet(band, wavyDesign(), words);
  let session: TracerSession | undefined;
  afterAll(() => session?.close());

  it('holds facts, failed and waived checks and cautions as text', () => {
    expect(html).toContain('A &amp; &lt;b&gt;');
    expect(html).toContain('NOT PASSED');
    expect(html).toContain('waived: by hand');
    expect(html).toContain('Weigh &quot;it&quot;');
    expect(html).toContain('31 × Natural diamond');
    // what setter and caster look out for stands where they read; no stones, no setter
    expect(html).toMatch(/no stone may move.*know the treatment first.*agree who allows for shrinkage/);
    const plain = benchSheet(
      sampleBand('S-3', { rows: [], stoneCount: 0, totalCarats: 0 }),
      wavyDesign(),
      words,
    );
    expect(plain).not.toContain('no stone may move');
    expect(plain).toContain('agree who allows for shrinkage');
    expectStylesByHash(html);
    expect(html).not.toMatch(/<script|https?:\/\/(?!www\.w3\.org)/);
  });

  it('tells letters, beads and grooves in words, and fills its pages with them too', async () => {
    const marks = { seam: 'mid', milgrain: { beadMm: 0.4, pitchMm: 0.5 } };
    const inside = {
      text: 'A & <b>',
      heightMm: 1.5,
      depthMm: 0.2,
      style: 'regular',
      atRad: Math.PI,
    } as const;
    const design = seamedBand(marks, { engraving: { inside } });
    const shape = await buildShape(design);
    const marked = sampleBand('S-2', { marks: shape.marks, checks: shape.checks });
    const sheet = benchSheet(marked, design, words);
    expect(sheet).toContain('“A &amp; &lt;b&gt;”, Source Sans regular, capitals 1.50 high, 0.20 deep');
    expect(sheet).toMatch(/130 beads Ø 0\.40, 0\.50\d from middle to middle; along seam mid on near/);
    expect(html).not.toContain('Letters, beads');
    session ??= await createTracerSession();
    const pdf = Buffer.from((await session.print?.(sheet)) ?? []).toString('latin1');
    expect(pdf.match(/\/Type \/Page\b/g)).toHaveLength(2);
  });

  it('prints on one page of A4 where all has room, the same bytes every time', async () => {
    session ??= await createTracerSession();
    const pdf = Buffer.from((await session.print?.(html)) ?? []).toString('latin1');
    expect(pdf.startsWith('%PDF-')).toBe(true);
    expect(pdf.match(/\/Type \/Page\b/g)).toHaveLength(1);
    // ISO 216: 297 by 210 mm, to the browser's tenth of a millimetre
    const [, width, height] = /\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/.exec(pdf) ?? [];
    expect((Number(width) / 72) * 25.4).toBeCloseTo(297, 0);
    expect((Number(height) / 72) * 25.4).toBeCloseTo(210, 0);
    expect(pdf).toContain('/CreationDate (D:20000101000000');
    expect(Buffer.from((await session.print?.(html)) ?? []).toString('latin1') === pdf).toBe(true);
  });
});
