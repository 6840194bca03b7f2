import { afterEach, beforeAll, describe, expect, it } from 'vitest';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { letterCutter } from '../../pipeline/setting/letter-cutter.ts';
import { type LetterPoint, letterOutlines } from '../../pipeline/setting/lettering.ts';
import {
  loadSolidKernel,
  mergedLetters,
  NativeSolids,
  type SolidKernel,
} from '../../pipeline/setting/solid-kernel.ts';
import { lettersDesign, plainBand } from './marked-designs.ts';
import { expectSoundSet } from './sound-set.ts';

let kernel: SolidKernel;
let solids: NativeSolids;
beforeAll(async () => {
  kernel = await loadSolidKernel();
  solids = new NativeSolids(kernel);
});
afterEach(() => solids.free());

const DEG = Math.PI / 180;
const rectangle = (w: number, h: number): LetterPoint[] => [
  [0, 0],
  [w, 0],
  [w, h],
  [0, h],
];

/** Volume of a cutter below the surface and the depth of its lowest point, with nothing standing out of the metal. */
function cutOf(contours: LetterPoint[][], depthMm: number, slantDeg: number, coverMm = 0) {
  const cut = { depthMm, slantRad: slantDeg * DEG, coverMm, proudMm: 0 };
  const solid = letterCutter(solids, { letter: 'x', contours }, cut);
  expect(solid.status()).toBe('NoError');
  return { volume: solid.volume(), floor: solid.boundingBox().min[2], genus: solid.genus() };
}

/** Of the polynomial c₀ + c₁x + c₂x² from 0 to x. */
const integral = ([c0, c1, c2]: number[], x: number) => c0 * x + (c1 * x * x) / 2 + (c2 * x ** 3) / 3;

describe('walls of letters that lean', () => {
  it.each([0, 10, 15, 30])(
    'take of a straight stroke a trough with hipped ends: ∫ (w − 2x tan α)(l − 2x tan α) dx at %f°',
    (slant) => {
      const [w, l, depth] = [0.4, 2, 0.2];
      const t = Math.tan(slant * DEG);
      const { volume, floor } = cutOf([rectangle(l, w)], depth, slant);
      expect(volume).toBeCloseTo(integral([w * l, -2 * t * (w + l), 4 * t * t], depth), 6);
      expect(floor).toBeCloseTo(0, 6);
    },
  );

  it('meet in a V above the depth where the stroke is narrow: at half its width over tan α', () => {
    const [w, l, depth] = [0.2, 2, 0.3];
    const { volume, floor } = cutOf([rectangle(l, w)], depth, 45);
    // a hipped roof turned over, w / 2 high: ridge l − w, so w²/4 (l − w) + w³/6
    expect(volume).toBeCloseTo(((w * w) / 4) * (l - w) + w ** 3 / 6, 6);
    expect(depth - floor).toBeCloseTo(w / 2, 5);
  });

  it('meet on the bisectors of corners, of the stroke and of the metal', () => {
    // an L, five corners of whose stroke are convex and one of whose is the metal’s: tan 45° for each
    const ell: LetterPoint[] = [
      [0, 0],
      [2, 0],
      [2, 0.6],
      [0.6, 0.6],
      [0.6, 2],
      [0, 2],
    ];
    const [slant, depth] = [25, 0.3];
    const t = Math.tan(slant * DEG);
    const corners = 5 - 1;
    const { volume } = cutOf([ell], depth, slant);
    expect(volume).toBeCloseTo(integral([2.04, -8 * t, corners * t * t], depth), 6);
  });

  it('of an O are cones, outside and inside: π ∫ (R − x tan α)² − (r + x tan α)² dx', () => {
    const circle = (r: number, way: 1 | -1) =>
      Array.from({ length: 128 }, (_, i): LetterPoint => {
        const a = (way * 2 * Math.PI * i) / 128;
        return [r * Math.cos(a), r * Math.sin(a)];
      });
    const [R, r, depth, slant] = [1, 0.6, 0.2, 20];
    const t = Math.tan(slant * DEG);
    const { volume, genus } = cutOf([circle(R, 1), circle(r, -1)], depth, slant);
    const round = Math.PI * integral([R * R - r * r, -2 * t * (R + r), 0], depth);
    expect(volume / round).toBeCloseTo(1, 3);
    expect(genus).toBe(1);
  });

  it('under a cover to be polished off come to the wanted width on the finished surface', () => {
    const [w, l, deep, cover, slant] = [0.4, 2, 0.2, 0.1, 20];
    const t = Math.tan(slant * DEG);
    const solid = letterCutter(
      solids,
      { letter: 'I', contours: [rectangle(l, w)] },
      { depthMm: deep + cover, slantRad: slant * DEG, coverMm: cover, proudMm: 0 },
    );
    const finished = solid.trimByPlane([0, 0, -1], -deep);
    expect(finished.volume()).toBeCloseTo(integral([w * l, -2 * t * (w + l), 4 * t * t], deep), 6);
    finished.delete();
  });

  it('of whole letters hold what the offsets of their outlines hold, layer by layer', () => {
    for (const text of ['OI8', 'Mara', '&ß6', 'WAVE']) {
      const letters = mergedLetters(kernel, letterOutlines(text, 'bold', 2, 0.004));
      const [depth, slant, layers] = [0.15, 25, 60];
      const flat = new kernel.CrossSection(
        letters.flatMap(({ contours }) => contours) as [number, number][][],
        'NonZero',
      );
      let sum = 0;
      for (let k = 0; k < layers; k++) {
        const inner = flat.offset(((-(k + 0.5) * depth) / layers) * Math.tan(slant * DEG), 'Round', 2, 256);
        sum += (inner.area() * depth) / layers;
        inner.delete();
      }
      flat.delete();
      const volume = letters.reduce((v, { contours }) => v + cutOf(contours, depth, slant).volume, 0);
      expect(volume / sum, text).toBeCloseTo(1, 2.5);
    }
  });
});

describe('letters with leaning walls in a band', () => {
  const engraved = (change: Parameters<typeof lettersDesign>[0]): ShapeDesign =>
    plainBand({ engraving: { inside: lettersDesign(change) } });

  it('leave one closed manifold, and take less than with square walls', async () => {
    const bare = (await buildShape(plainBand())).lanes[0].volumeMm3;
    const taken = [];
    for (const slant of [0, 15, 45]) {
      const shape = await buildShape(engraved({ text: 'Mara & Jon 8', slantRad: slant * DEG }), kernel);
      expectSoundSet(kernel, shape, 0, 1);
      taken.push(bare - shape.lanes[0].volumeMm3);
    }
    expect(taken[1] / taken[0]).toBeGreaterThan(0.6);
    expect(taken[1] / taken[0]).toBeLessThan(0.85);
    expect(taken[2] / taken[1]).toBeLessThan(0.6);
  });

  it('are as deep as their walls allow: the check measures where they meet, the wall under the widest place', async () => {
    const shape = await buildShape(engraved({ text: 'I', slantRad: 45 * DEG, depthMm: 0.4 }), kernel);
    const stroke = shape.marks!.engravings[0].strokeMm;
    const check = (rule: string) => shape.checks.find((c) => c.rule === rule)!;
    expect(Number.parseFloat(check('engraving-depth').measured)).toBeCloseTo(stroke / 2, 2);
    expect(check('engraving-depth').place).toContain('where the walls of its narrowest stroke meet');
    expect(Number.parseFloat(check('engraving-wall').measured)).toBeCloseTo(1.8 - stroke / 2, 2);
  });

  it('are refused where their walls would reach through a stroke into the next', async () => {
    const error = await buildShape(
      engraved({ text: '♥m', slantRad: 50 * DEG, depthMm: 0.9, heightMm: 2 }),
      kernel,
    ).catch((e: unknown) => e);
    expect(error).toBeInstanceOf(ProblemError);
    const { problems } = error as ProblemError;
    expect(problems.map(({ code, path }) => [code, path])).toContainEqual([
      'walls-too-flat',
      'engraving.inside.walls',
    ]);
  });
});
