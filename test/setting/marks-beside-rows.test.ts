import { beforeAll, describe, expect, it } from 'vitest';
import type { BuiltShape } from '../../pipeline/band/built-shape.ts';
import { lanesOf } from '../../pipeline/band/lane.ts';
import type { RowDesign, ShapeDesign } from '../../pipeline/plan/design.ts';
import type { SettingDesign } from '../../pipeline/plan/setting-design.ts';
import { isRefused, type Problem, ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { planRow, type WholeRow } from '../../pipeline/setting/row-plan.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { lettersDesign, plainBand, seamedBand } from './marked-designs.ts';
import { rowDesign } from './stone-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

/** On a plain cylinder stones stand square to the axis, so every distance below has a closed form. */
const BORE = 54 / (2 * Math.PI);
const OUTSIDE = BORE + 1.8;
/** Half the width of `plainBand`. */
const HALF = 2.5;
/** Designs this far on either side of a limit must be told apart, mm. */
const STEP = 0.004;
/** What the planner keeps free (common practice): metal beside seats, and air beside a seat that a bead keeps. */
const BESIDE_SEAT = 0.15;
const BEAD_AIR = 0.02;
const BESIDE_LETTERS = 0.05;

const stone = (change: Partial<RowDesign> = {}) =>
  rowDesign({ coverage: { kind: 'angles', anglesRad: [0] }, setting: { style: 'none' }, ...change });

function planned(design: ShapeDesign): WholeRow {
  const row = planRow(design.rows[0], 0, lanesOf(design));
  if (isRefused(row)) throw new ProblemError(row.problems);
  return row;
}

/** Radius of the opening of a round seat, mm. */
function openingOf(design: ShapeDesign): number {
  const { opening } = planned(design).sets[0].seat;
  if (opening.kind !== 'round') throw new Error('not a round seat');
  return opening.radius;
}

async function refusalOf(design: ShapeDesign): Promise<Problem> {
  const error = await buildShape(design, kernel).catch((e: unknown) => e);
  expect(error).toBeInstanceOf(ProblemError);
  const { problems } = error as ProblemError;
  expect(problems).toHaveLength(1);
  return problems[0];
}

/** Places of the vertices on a lane's outside, with what its chords fall short of it. */
function onOutside(shape: BuiltShape, lane: number): { theta: number; z: number }[] {
  const p = shape.lanes[lane].mesh.positions;
  return Array.from({ length: p.length / 3 }, (_, i) => p.subarray(3 * i, 3 * i + 3))
    .filter(([x, y]) => Math.hypot(x, y) > OUTSIDE - 0.011)
    .map(([x, y, z]) => ({ theta: Math.atan2(x, y), z }));
}

describe('a groove beside stones', () => {
  const SEAM = 0.4;
  const middle = (SEAM - HALF) / 2;
  const design = (widthMm: number, row: RowDesign) =>
    seamedBand({ groove: { profile: 'v', widthMm, depthMm: 0.2 } }, { rows: [{ ...row, lane: 'near' }] });

  it('is accepted down to the metal that stays, which is measured on the solid, and refused below it', async () => {
    const rho = openingOf(design(0.4, stone({ lane: 'near' })));
    const widest = 2 * (SEAM - middle - rho - BESIDE_SEAT);
    const shape = await buildShape(design(widest - 2 * STEP, stone()), kernel);
    const above = onOutside(shape, 0).filter(({ theta, z }) => Math.abs(theta) < 0.2 && z > middle);
    const seat = Math.max(...above.map(({ z }) => z).filter((z) => z < middle + rho + STEP));
    const rim = Math.min(...above.map(({ z }) => z).filter((z) => z > middle + rho + STEP));
    // turned rims are polygons, within the chord tolerance
    expect(Math.abs(rim - seat - (BESIDE_SEAT + STEP))).toBeLessThan(0.01);
    expect(await refusalOf(design(widest + 2 * STEP, stone()))).toMatchObject({
      code: 'groove-in-seat',
      path: 'seams.mid.groove',
      received: '0.146 mm',
    });
    expect((await refusalOf(design(widest + 0.2, stone()))).received).toBe('0.05 mm');
  });

  it('keeps as far from claws that stand out beyond the seats', async () => {
    const claws = { clawDiameterMm: 0.9, clawHeightMm: 0.3 };
    const row = stone({
      coverage: { kind: 'arc', angleRad: 0.5 },
      setting: { style: 'shared-claws', ...claws },
    });
    const { places, members } = planned(design(0.3, { ...row, lane: 'near' }));
    // two circles of r + c − bite about neighbours meet where the claw stands; 20 % of its diameter bites
    const [a, b] = members.map(({ place }) => place.frame.origin);
    const half = Math.hypot(...a.map((v, k) => v - b[k])) / 2;
    expect(places.gapMm).toBeGreaterThan(0);
    const aside = Math.sqrt((row.diameterMm / 2 + 0.3 * claws.clawDiameterMm) ** 2 - half ** 2);
    const outermost = aside + claws.clawDiameterMm / 2;
    expect(outermost).toBeGreaterThan(openingOf(design(0.3, { ...row, lane: 'near' })) + 0.1);
    const widest = 2 * (SEAM - middle - outermost - BESIDE_SEAT);
    await buildShape(design(widest - 2 * STEP, row), kernel);
    expect(await refusalOf(design(widest + 2 * STEP, row))).toMatchObject({ code: 'groove-in-seat' });
  });
});

describe('beads beside stones', () => {
  const beadMm = 0.5;
  const design = (seam: number, at: number) =>
    seamedBand(
      {},
      {
        seams: [
          {
            kind: 'straight',
            atMm: seam,
            marks: { seam: 'mid', milgrain: { beadMm, pitchMm: 0.64, lane: 'far' } },
          },
        ],
        rows: [stone({ lane: 'far', coverage: { kind: 'angles', anglesRad: [at] } })],
      },
    );
  const count = Math.floor((2 * Math.PI * OUTSIDE) / 0.64);

  it.each([
    ['opposite one', 0],
    ['between two', Math.PI / count],
  ])('are accepted down to the least gap from a stone %s, and refused below it', async (_, at) => {
    const rho = openingOf(design(0, at));
    // the nearest bead lies R sin Δθ along the band from the stone's axis and `across` beside it
    const across = Math.sqrt((rho + beadMm / 2 + BEAD_AIR) ** 2 - (OUTSIDE * Math.sin(at)) ** 2);
    // from the lane's middle, halfway between seam and edge, to the beads' line, 0.02 mm of air off the seam
    const seam = HALF - 2 * (across + 0.02 + beadMm / 2);
    const shape = await buildShape(design(seam - 2 * STEP, at), kernel);
    expect(shape.marks!.milgrain[0].count).toBe(count);
    expect(await refusalOf(design(seam + 2 * STEP, at))).toMatchObject({
      code: 'milgrain-in-seat',
      path: 'seams.mid.milgrain',
      received: expect.stringMatching(/^0\.01[67] mm at/),
    });
    // and the solid has the gap: from the stone's axis to the nearest point of the metal that stands out
    const p = shape.lanes[1].mesh.positions;
    let nearest = Number.POSITIVE_INFINITY;
    const middle = (seam - 2 * STEP + HALF) / 2;
    for (let i = 0; i < p.length; i += 3) {
      const [x, y, z] = [p[i], p[i + 1], p[i + 2]];
      if (Math.hypot(x, y) < OUTSIDE + 0.02) continue;
      const along = x * Math.cos(at) - y * Math.sin(at);
      if (y > 0) nearest = Math.min(nearest, Math.hypot(along, z - middle));
    }
    expect(nearest - rho).toBeGreaterThan(BEAD_AIR);
    expect(nearest - rho).toBeLessThan(BEAD_AIR + 0.03);
  });
});

describe('letters beside stones', () => {
  // a bar, of which a check point lies in the middle: no letter comes nearer to a stone beside it
  const bar = (atRad: number, change = {}) =>
    lettersDesign({ text: 'I', heightMm: 1.6, depthMm: 0.1, atRad, ...change });
  const width = async () =>
    (await buildShape(plainBand({ engraving: { inside: bar(2) } }), kernel)).marks!.engravings[0].lengthMm;

  it('in the bore keep clear of the holes as they come out of it', async () => {
    const design = (atRad: number) =>
      plainBand({ rows: [stone({ holeShare: 0.6 })], engraving: { inside: bar(atRad) } });
    // a hole is a share of the stone's diameter
    const hole = (0.6 * 1.5) / 2;
    const place = (apart: number) => Math.asin((hole + apart) / BORE);
    const half = (await width()) / 2 / BORE;
    for (const side of [1, -1]) {
      await buildShape(design(side * (place(BESIDE_SEAT + STEP) + half)), kernel);
      const refusal = await refusalOf(design(side * (place(BESIDE_SEAT - 0.05) + half)));
      expect(refusal).toMatchObject({ code: 'text-in-the-way', path: 'engraving.inside' });
      expect(refusal.received).toContain("'I' 0.05 mm too far");
      await refusalOf(design(side * (place(BESIDE_SEAT - STEP) + half)));
    }
  });

  it('in the bore stay above closed seats and under floors by 0.1 mm', async () => {
    const floored = (change: Partial<RowDesign>, depthMm: number) =>
      plainBand({ rows: [stone(change)], engraving: { inside: bar(0, { depthMm }) } });
    const closed = { holeShare: 0 };
    const { culetDepth } = planned(floored(closed, 0.1)).sets[0].stone;
    // from the culet to the bore: thickness, less what the girdle is sunk and the stone is deep
    const under = 1.8 - stone().setDepthMm - culetDepth;
    for (const [row, least] of [
      [closed, under],
      [{ floorMm: 0.5 }, 0.5],
    ] as const) {
      await buildShape(floored(row, least - 0.1 - STEP), kernel);
      const refusal = await refusalOf(floored(row, least - 0.1 + STEP));
      expect(refusal).toMatchObject({ code: 'text-in-the-way', path: 'engraving.inside' });
      expect(refusal.expected).toContain("the seats of row 'row'");
    }
  });

  it('outside keep clear of seats', async () => {
    const design = (atRad: number) =>
      plainBand({ rows: [stone()], engraving: { outside: { ...bar(atRad), lane: 'all' } } });
    const rho = openingOf(design(1));
    const half = (await width()) / 2 / OUTSIDE;
    const place = (apart: number) => Math.asin((rho + apart) / OUTSIDE);
    await buildShape(design(place(BESIDE_SEAT + STEP) + half), kernel);
    const refusal = await refusalOf(design(place(BESIDE_SEAT - 0.1) + half));
    expect(refusal).toMatchObject({ code: 'text-in-the-way', path: 'engraving.outside' });
    expect(refusal.received).toContain("'I' 0.10 mm too far");
    await refusalOf(design(place(BESIDE_SEAT - STEP) + half));
  });

  it.each([
    [
      'a channel',
      { style: 'channel', openingShare: 0.86 },
      // half a stone and half a gap beyond the last one, and 0.05 mm of air, as far in as the girdles lie
      ([first, last]: number[], girdles: number) => {
        const reach = Math.asin(((1.5 + 0.12) / 2 + 0.05) / girdles);
        return [first - reach, last + reach];
      },
    ],
    [
      'a field',
      {
        style: 'grain',
        grainMm: 0.45,
        grains: 'own',
        fieldMm: 0.25,
        fieldDepthMm: 0.12,
        brightCut: true,
      },
      // half a stone and its border beyond the last one, and walls at 45° as wide as they are high
      ([first, last]: number[]) => {
        const reach = (1.5 / 2 + 0.25 + 0.12) / OUTSIDE;
        return [first - reach, last + reach];
      },
    ],
  ] as [string, SettingDesign, (angles: number[], girdles: number) => number[]][])(
    'outside keep clear of the end of %s, and need no more than that',
    async (_, setting, endsOf) => {
      const row = stone({ coverage: { kind: 'arc', angleRad: 0.6 }, setting, setDepthMm: 0.2 });
      const design = (atRad: number) =>
        plainBand({ rows: [row], engraving: { outside: { ...bar(atRad), lane: 'all' } } });
      const { members } = planned(design(3));
      const angles = members.map(({ place }) => place.theta);
      const half = (await width()) / 2;
      const ends = endsOf([angles[0], angles[angles.length - 1]], OUTSIDE - row.setDepthMm);
      for (const end of ends) {
        const at = (apart: number) => end + (Math.sign(end) * (apart + half)) / OUTSIDE;
        await buildShape(design(at(BESIDE_SEAT + STEP)), kernel);
        const refusal = await refusalOf(design(at(BESIDE_SEAT - STEP)));
        expect(refusal).toMatchObject({ code: 'text-in-the-way', path: 'engraving.outside' });
      }
    },
  );
});

describe('letters beside grooves and beads', () => {
  it.each([
    ['a groove', { groove: { profile: 'v', widthMm: 0.4, depthMm: 0.15 } }, 0.2],
    ['beads', { milgrain: { beadMm: 0.5, pitchMm: 0.64, lane: 'far' } }, 0.02 + 0.5],
  ] as const)('keep clear of %s by 0.05 mm', async (_, marks, taken) => {
    const design = (heightMm: number) =>
      seamedBand(marks, {
        engraving: {
          outside: { ...lettersDesign({ text: 'I', heightMm, depthMm: 0.1, atRad: 0 }), lane: 'far' },
        },
      });
    // capitals are centred between the seam at 0.4 mm and the edge at 2.5 mm
    const highest = 2 * ((HALF - 0.4) / 2 - taken - BESIDE_LETTERS);
    await buildShape(design(highest - STEP), kernel);
    const refusal = await refusalOf(design(highest + STEP));
    expect(refusal).toMatchObject({ code: 'text-in-the-way', path: 'engraving.outside' });
    expect(refusal.expected).toContain("the seam on the near side of lane 'far'");
  });
});
