import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import fc from 'fast-check';
import { create, type Font } from 'fontkit';
import { beforeAll, describe, expect, it } from 'vitest';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape, checkShape } from '../../pipeline/setting/build-shape.ts';
import { letterOutlines, missingGlyphs } from '../../pipeline/setting/lettering.ts';
import { loadSolidKernel, mergedLetters, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { strokeWidths } from '../../pipeline/setting/stroke-width.ts';
import { lettersDesign, plainBand, seamedBand } from './marked-designs.ts';
import { expectSoundSet } from './sound-set.ts';
import { straightRowDesign } from './stone-designs.ts';

let kernel: SolidKernel;
let font: Font;
let capitals: number;
let bare: number;
/** Chords fine enough that the smooth band's own facets take less than half a per cent of a cut's depth. */
const FINE = { chordToleranceMm: 0.003 };
const BORE = 54 / (2 * Math.PI);
const OUTSIDE = BORE + 1.8;

beforeAll(async () => {
  kernel = await loadSolidKernel();
  const file = createRequire(import.meta.url).resolve(
    '@expo-google-fonts/source-sans-3/500Medium/SourceSans3_500Medium.ttf',
  );
  font = create(readFileSync(file)) as Font;
  capitals = font.layout('H').glyphs[0].bbox.maxY;
  bare = (await buildShape(plainBand(FINE))).lanes[0].volumeMm3;
});

/**
 * Area of a glyph in em² straight from its curves: Green's theorem, which for a quadratic Bézier arc comes to
 * (2 p₀×p₁ + 2 p₁×p₂ + p₀×p₂) / 6. Contours of the glyphs used here do not overlap.
 */
function glyphArea(character: string): number {
  type P = [number, number];
  const cross = (a: P, b: P) => a[0] * b[1] - a[1] * b[0];
  let [pen, start]: [P, P] = [
    [0, 0],
    [0, 0],
  ];
  let area = 0;
  const line = (to: P) => {
    area += cross(pen, to) / 2;
    pen = to;
  };
  for (const { command, args } of font.layout(character).glyphs[0].path.commands) {
    if (command === 'moveTo') [pen, start] = [args as P, args as P];
    else if (command === 'lineTo') line(args as P);
    else if (command === 'quadraticCurveTo') {
      const [b, c]: [P, P] = [
        [args[0], args[1]],
        [args[2], args[3]],
      ];
      area += (2 * cross(pen, b) + 2 * cross(b, c) + cross(pen, c)) / 6;
      pen = c;
    } else line(start);
  }
  return Math.abs(area);
}

async function codesOf(design: ShapeDesign): Promise<{ code: string; path: string; text: string }[]> {
  const error = await buildShape(design, kernel).catch((e: unknown) => e);
  expect(error).toBeInstanceOf(ProblemError);
  return (error as ProblemError).problems.map((p) => ({
    code: p.code,
    path: p.path,
    text: `${p.expected}; ${p.received}`,
  }));
}

/** θ and z of the vertices on the floor of letters. */
function floorOf(
  shape: Awaited<ReturnType<typeof buildShape>>,
  radius: number,
): { theta: number; z: number }[] {
  const p = shape.lanes[0].mesh.positions;
  const found = [];
  for (let i = 0; i < p.length; i += 3) {
    if (Math.abs(Math.hypot(p[i], p[i + 1]) - radius) > 1e-3) continue;
    found.push({ theta: Math.atan2(p[i], p[i + 1]), z: p[i + 2] });
  }
  return found;
}

describe('letters cut into a band', () => {
  it.each([
    ['inside', BORE, 1],
    ['outside', OUTSIDE, -1],
  ] as const)(
    '%s take their planar area times the depth, corrected for the curvature, and leave one closed manifold',
    async (side, radius, way) => {
      const letters = lettersDesign();
      const design = plainBand({ ...FINE, engraving: { [side]: { ...letters, lane: 'all' } } });
      const shape = await buildShape(design, kernel);
      expectSoundSet(kernel, shape, 0, 1);
      const area = [...'OI8'].reduce((sum, c) => sum + glyphArea(c), 0) * (1.5 / capitals) ** 2;
      // a prism with radial walls: at x below the surface its section is larger by (R ± x) / R
      const volume = area * 0.2 * (1 + (way * 0.2) / (2 * radius));
      expect((bare - shape.lanes[0].volumeMm3) / volume).toBeCloseTo(1, 2);
      expect(shape.marks?.engravings[0]).toMatchObject({ side, text: 'OI8', depthMm: 0.2, heightMm: 1.5 });
    },
  );

  it('of a drawing take its area times the depth, its holes left standing', async () => {
    // a ring of 2 and 1 mm across
    const drawing = 'M0 5A5 5 0 1 1 10 5A5 5 0 1 1 0 5M2.5 5A2.5 2.5 0 1 0 7.5 5A2.5 2.5 0 1 0 2.5 5';
    const inside = lettersDesign({ text: 'ring', drawing, heightMm: 2 });
    const shape = await buildShape(plainBand({ ...FINE, engraving: { inside } }), kernel);
    expectSoundSet(kernel, shape, 0, 1);
    const volume = Math.PI * (1 - 0.25) * 0.2 * (1 + 0.2 / (2 * BORE));
    expect((bare - shape.lanes[0].volumeMm3) / volume).toBeCloseTo(1, 2);
    expect(shape.marks?.engravings[0].text).toBe('ring');
    const open = lettersDesign({ text: 'ring', drawing: 'M0 0L10 0L5 5', heightMm: 2 });
    expect(await codesOf(plainBand({ engraving: { inside: open } }))).toMatchObject([
      { code: 'drawing-open', path: 'engraving.inside.drawing' },
    ]);
  });

  it('of two lines are those of each, one above the other, both about the middle', async () => {
    const two = lettersDesign({ text: 'OI\n8', heightMm: 1, atRad: 0 });
    const shape = await buildShape(plainBand({ ...FINE, engraving: { inside: two } }), kernel);
    expectSoundSet(kernel, shape, 0, 1);
    const area = [...'OI8'].reduce((sum, c) => sum + glyphArea(c), 0) * (1 / capitals) ** 2;
    const volume = area * 0.2 * (1 + 0.2 / (2 * BORE));
    expect((bare - shape.lanes[0].volumeMm3) / volume).toBeCloseTo(1, 2);
    expect(shape.marks?.engravings[0].text).toBe('OI / 8');
    const floor = floorOf(shape, BORE + 0.2);
    const lines = [floor.filter(({ z }) => z > 0), floor.filter(({ z }) => z < 0)];
    for (const line of lines) {
      const along = line.map(({ theta }) => theta);
      // each is centred, but for the room that fonts leave within round letters
      expect(Math.abs(Math.min(...along) + Math.max(...along)) * BORE).toBeLessThan(0.02);
    }
    // feet lie 1.65 heights apart
    const feet = lines.map((line) => Math.min(...line.map(({ z }) => z)));
    expect(feet[0] - feet[1]).toBeGreaterThan(1.55);
    expect(feet[0] - feet[1]).toBeLessThan(1.75);
  });

  it('of a script run into each other and are one', async () => {
    const script = lettersDesign({ text: 'Forever', style: 'script', heightMm: 1.8, depthMm: 0.12 });
    const shape = await buildShape(plainBand({ engraving: { inside: script } }), kernel);
    expectSoundSet(kernel, shape, 0, 1);
    expect(shape.lanes[0].volumeMm3).toBeLessThan(bare);
  });

  it('stand at the font’s own distances by arc length, kerning included', async () => {
    const depthMm = 0.2;
    const shape = await buildShape(
      plainBand({ engraving: { inside: lettersDesign({ text: 'II', depthMm, atRad: 0 }) } }),
      kernel,
    );
    const along = floorOf(shape, BORE + depthMm).map(({ theta }) => theta * BORE);
    const stem = (side: 1 | -1) => along.filter((s) => Math.sign(s) === side);
    const middle = (list: number[]) => (Math.max(...list) + Math.min(...list)) / 2;
    const advance = font.layout('II').positions[0].xAdvance * (1.5 / capitals);
    expect(middle(stem(1)) - middle(stem(-1))).toBeCloseTo(advance, 4);
    const length = (text: string) =>
      Math.max(
        ...letterOutlines(text, 'regular', 1.5, 0.01).flatMap((l) => l.contours.flat().map(([s]) => s)),
      );
    const plain = [...'AV'].reduce((sum, c) => sum + font.layout(c).glyphs[0].advanceWidth, 0);
    const { positions, glyphs } = font.layout('AV');
    const bearings = glyphs[0].bbox.minX + glyphs[1].advanceWidth - glyphs[1].bbox.maxX;
    expect(positions[0].xAdvance).toBeLessThan(glyphs[0].advanceWidth);
    expect(length('AV')).toBeLessThan(((plain - bearings) * 1.5) / capitals - 0.03);
  });

  it.each([
    // seen from the axis +z is up and +θ right; seen from outside both are turned by half a turn, so −z is up
    ['inside', undefined, 1, 1],
    ['outside', undefined, -1, 1],
    // the heads at the other edge: the line is turned by half a turn, never mirrored
    ['inside', 'first', -1, -1],
    ['outside', 'second', 1, -1],
    ['inside', 'second', 1, 1],
    ['outside', 'first', -1, 1],
  ] as const)(
    '%s, heads towards %s: the foot of an L points onwards, below its stem, for one who looks at it',
    async (side, heads, up, along) => {
      const letters = { ...lettersDesign({ text: 'L', atRad: 0.3, ...(heads && { heads }) }), lane: 'all' };
      const shape = await buildShape(plainBand({ engraving: { [side]: letters } }), kernel);
      const floor = floorOf(shape, side === 'inside' ? BORE + 0.2 : OUTSIDE - 0.2).map(({ theta, z }) => ({
        s: along * (theta - 0.3),
        t: up * z,
      }));
      const right = Math.max(...floor.map(({ s }) => s));
      const foot = floor.filter(({ s }) => s > right - 0.02);
      expect(foot.length).toBeGreaterThan(0);
      for (const { t } of foot) expect(t).toBeLessThan(-0.4);
      const head = floor.filter(({ t }) => t > 0.7);
      expect(head.length).toBeGreaterThan(0);
      for (const { s } of head) expect(s).toBeLessThan((right + Math.min(...floor.map((p) => p.s))) / 2);
      expect(shape.marks?.engravings[0].heads).toBe(up === 1 ? 'second' : 'first');
    },
  );

  it('of any text and size are cut by area times depth, or refused with a problem at the engraving', async () => {
    const character = fc.constantFrom(
      ...'ABCDEFGHJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyzÄÖÜéñøß0123456789&·♥.',
    );
    await fc.assert(
      fc.asyncProperty(
        fc.string({ unit: character, minLength: 1, maxLength: 5 }),
        fc.double({ min: 0.7, max: 2.5, noNaN: true }),
        fc.double({ min: -3, max: 3, noNaN: true }),
        async (text, heightMm, atRad) => {
          const letters = lettersDesign({ text, heightMm, atRad });
          const built = await buildShape(
            plainBand({ ...FINE, engraving: { inside: letters } }),
            kernel,
          ).catch((e) => e);
          if (built instanceof ProblemError) {
            for (const p of built.problems) expect(p.path).toMatch(/^engraving\.inside/);
            return;
          }
          expectSoundSet(kernel, built, 0, 1);
          const merged = mergedLetters(kernel, letterOutlines(text, 'regular', heightMm, 0.005));
          const flat = new kernel.CrossSection(
            merged.flatMap((l) => l.contours) as [number, number][][],
            'NonZero',
          );
          const volume = flat.area() * 0.2 * (1 + 0.2 / (2 * BORE));
          flat.delete();
          expect((bare - built.lanes[0].volumeMm3) / volume).toBeCloseTo(1, 1.5);
        },
      ),
      { numRuns: 4 },
    );
  });

  it('cross seams in the bore, each lane cut for itself', async () => {
    const design = seamedBand({}, { seams: [{ kind: 'straight', atMm: 0 }] });
    const before = (await buildShape(design)).lanes;
    const shape = await buildShape(
      { ...design, engraving: { inside: lettersDesign({ text: 'I' }) } },
      kernel,
    );
    for (const lane of [0, 1]) expectSoundSet(kernel, shape, lane, 1);
    const cut = shape.lanes.map((l, i) => before[i].volumeMm3 - l.volumeMm3);
    expect(cut[0]).toBeGreaterThan(0.02);
    expect(cut[0] / cut[1]).toBeCloseTo(1, 2);
  });
});

describe('letters that cannot be cut are refused', () => {
  const inside = (change: Parameters<typeof lettersDesign>[0], band: Partial<ShapeDesign> = {}) =>
    codesOf(plainBand({ engraving: { inside: lettersDesign(change) }, ...band }));
  const outside = (change: Parameters<typeof lettersDesign>[0], band: Partial<ShapeDesign> = {}) =>
    codesOf(plainBand({ engraving: { outside: { ...lettersDesign(change), lane: 'all' } }, ...band }));

  it('when the font has no such letters, which are named', async () => {
    const [found] = await inside({ text: 'a 永遠' });
    expect(found).toMatchObject({ code: 'missing-glyphs', path: 'engraving.inside.text' });
    expect(found.text).toContain('永 (U+6C38), 遠 (U+9060)');
    expect(missingGlyphs('Zoë & Łukasz · Müller ♥ 12½', 'regular')).toEqual([]);
  });

  it('when they go round more than once, with the length there is', async () => {
    const found = await inside({ text: 'm'.repeat(60) });
    expect(found.map((p) => p.code)).toEqual(['text-too-long']);
    expect(found[0].text).toContain('at most 53.25 mm');
  });

  it('when they reach the edges, or cut too deep, both told at once', async () => {
    const found = await inside({ heightMm: 4.95, depthMm: 1.6 });
    expect(found.map((p) => p.code)).toEqual(['text-in-the-way', 'engraving-too-deep']);
    expect(found[0].text).toContain('the bore’s edges');
    expect(found[1].text).toContain('0.20 mm');
  });

  it('when strokes are too thin to hold, with the stroke that was measured', async () => {
    const [found] = await inside({ heightMm: 0.5 });
    expect(found.code).toBe('stroke-too-thin');
    expect(found.text).toMatch(/0\.0\d+ mm at '[OI8]'/);
  });

  it('when they run over a seam, a groove or beads outside, or onto a hammered lane', async () => {
    const letters = { ...lettersDesign({ atRad: 0 }), lane: 'far' };
    const seamed = (marks: Parameters<typeof seamedBand>[0], heightMm: number) =>
      codesOf(seamedBand(marks, { engraving: { outside: { ...letters, heightMm } } }));
    const [over] = await seamed({}, 2.2);
    expect(over).toMatchObject({ code: 'text-in-the-way', path: 'engraving.outside' });
    expect(over.text).toContain("the seam on the near side of lane 'far'");
    const milgrain = { beadMm: 0.35, pitchMm: 0.37, lane: 'far' };
    expect((await seamed({ milgrain }, 1.6))[0].code).toBe('text-in-the-way');
    const hammer = { facetMm: 1.6, depthMm: 0.05, seed: 1 };
    const lanes = [{ name: 'all', recessMm: 0, softenMm: 0, hammer }];
    expect((await outside({}, { lanes }))[0].code).toBe('engraving-on-hammer');
  });

  it('when a through-hole or a seat is in their way', async () => {
    const row = straightRowDesign({ coverage: { kind: 'arc', angleRad: 0.6 } }, { widthMm: 4 });
    const holes = await codesOf({ ...row, engraving: { inside: lettersDesign({ text: 'OOOO', atRad: 0 }) } });
    expect(holes[0].text).toContain("the through-holes of row 'row'");
    const seats = await codesOf({
      ...row,
      engraving: { outside: { ...lettersDesign({ text: 'OOOO', atRad: 0, depthMm: 0.1 }), lane: 'all' } },
    });
    expect(seats[0].text).toContain("the seats and claws of row 'row'");
    const away = { ...row, engraving: { inside: lettersDesign({ text: 'O', atRad: Math.PI }) } };
    expect((await buildShape(away, kernel)).marks?.engravings).toHaveLength(1);
  });
});

describe('widths of strokes and webs', () => {
  const square = (s: number, t: number, w: number, h: number): [number, number][] => [
    [s, t],
    [s + w, t],
    [s + w, t + h],
    [s, t + h],
  ];

  it('are those of bars and the gap between them', () => {
    const letters = [
      { letter: 'a', contours: [square(0, 0, 0.2, 1)] },
      { letter: 'b', contours: [square(0.35, 0, 0.3, 1)] },
    ];
    const { stroke, web } = strokeWidths(letters, 1);
    expect(stroke).toEqual({ widthMm: expect.closeTo(0.2, 9), letter: 'a' });
    expect(web.widthMm).toBeCloseTo(0.15, 9);
  });

  it('are the ring’s for an O made of two circles, within the chord', () => {
    const circle = (r: number, way: 1 | -1) =>
      Array.from({ length: 96 }, (_, i): [number, number] => {
        const a = (way * 2 * Math.PI * i) / 96;
        return [r * Math.cos(a), r * Math.sin(a)];
      });
    const { stroke, web } = strokeWidths([{ letter: 'O', contours: [circle(1, 1), circle(0.8, -1)] }], 2);
    expect(stroke.widthMm).toBeCloseTo(0.2, 2);
    expect(web.widthMm).toBeCloseTo(1.6, 2);
  });
});

describe('bench checks of letters', () => {
  it('hold depth, metal left and strokes against limits with a source, and against those of the config', async () => {
    const design = plainBand({ engraving: { inside: lettersDesign({ depthMm: 0.08 }) } });
    const checks = async (limits = {}) =>
      (await buildShape(design, kernel, limits)).checks.filter(({ rule }) => rule.startsWith('engraving'));
    const usual = await checks();
    expect(usual.map(({ rule, passed }) => [rule, passed])).toEqual([
      ['engraving-depth', false],
      ['engraving-wall', true],
      ['engraving-stroke', true],
    ]);
    expect(usual[0]).toMatchObject({ limit: 'at least 0.10 mm', measured: '0.08 mm' });
    expect(usual[1].measured).toBe('1.72 mm');
    for (const { source } of usual) expect(source.length).toBeGreaterThan(20);
    const own = await checks({ 'engraving-depth': 0.05, 'engraving-wall': 2 });
    expect(own.map(({ passed }) => passed)).toEqual([true, false, true]);
  });

  it('count what letters in the bore take of the metal under those outside, where one lies over the other', async () => {
    const wall = async (atRad: number) => {
      const outside = { ...lettersDesign({ text: 'I', atRad: 0, depthMm: 0.5 }), lane: 'all' };
      const inside = lettersDesign({ text: 'OOOOO', atRad, depthMm: 0.4 });
      const checks = await checkShape(plainBand({ engraving: { inside, outside } }), kernel);
      const found = checks.filter(({ rule }) => rule === 'engraving-wall').map((c) => c.measured);
      expect(found).toHaveLength(2);
      return found[1];
    };
    // 1.8 mm of metal
    expect(await wall(Math.PI)).toBe('1.30 mm');
    expect(await wall(0)).toBe('0.90 mm');
    expect(await wall(2 * Math.PI)).toBe('0.90 mm');
  });
});
