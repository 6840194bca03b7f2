import { describe, expect, it } from 'vitest';
import { wholeBand } from '../../pipeline/band/lane.ts';
import { radiusAt } from '../../pipeline/band/profile.ts';
import { seamCurve } from '../../pipeline/band/seam.ts';
import type { Plan } from '../../pipeline/plan/plan.ts';
import { config, planOf, problemsOf } from './workspace.ts';

const template = (seams: string, section = 'section: flat') => `
title: Trial
${section}
width: 5 mm
thickness: 2 mm
lanes:
  sand: { alloy: yellow-18, finish: satin, recess: 0.1 mm, inlay: { depth: 0.7 mm, bed: water } }
  water: { alloy: white-18 }
  sky: { alloy: rose-18, finish: brushed, hammer: { facet: 1.5 mm } }
seams:
${seams}
`;
const SEAMS = `
  shore: { kind: wave, at: 30 %, amplitude: 0.4 mm, waves: 6, sharpness: 40 %, phase: 20 deg }
  horizon: { kind: drift, from: 55 % + 0.2 mm, to: 75 %, turn: 10 deg }`;

async function pairOf(partner: string, seams = SEAMS, lay = '', section = 'section: flat'): Promise<Plan> {
  const text = config({
    template: 'template: trial.yaml',
    grid: 'grid: { size: [ISO 52], metal: [{ label: A, slug: A, value: { sand: yellow-18, water: white-18, sky: rose-18 } }] }',
    origins: '',
    pairs: `pairs: [{ name: duo, partner: ${partner}${lay} }]`,
    shots: 'shots: [pair]',
  });
  return (await planOf(text, { 'trial.yaml': template(seams, section) })).plan;
}

/** z of every seam of both bands at θ, from the edge where they touch: the left band's far, the partner's first. */
async function fromJoint(partner: string, seams = SEAMS) {
  const { pairs, shapes } = await pairOf(partner, seams);
  const [left, right] = [pairs[0].left, pairs[0].right].map(({ shape }) => shapes[shape]);
  const curves = (design: typeof left) => design.seams.map((s) => seamCurve(s).z);
  return {
    left,
    right,
    leftAt: (theta: number) =>
      curves(left)
        .map((z) => left.widthMm / 2 - z(theta))
        .reverse(),
    rightAt: (theta: number) => curves(right).map((z) => z(theta) + right.widthMm / 2),
  };
}
const round = Array.from({ length: 97 }, (_, i) => (2 * Math.PI * i) / 97);

describe('a mirrored partner', () => {
  it('has every seam as far from the joint as the other band, all round', async () => {
    const points =
      '  shore: { kind: points, through: [20 %, 1.2 mm, 30 %, 25 %], turn: 12 deg }\n  horizon: { kind: straight, at: 70 % }';
    for (const seams of [SEAMS, points]) {
      const { leftAt, rightAt } = await fromJoint('{ mirror: true }', seams);
      for (const theta of round)
        leftAt(theta).forEach((z, i) => {
          expect(rightAt(theta)[i]).toBeCloseTo(z, 12);
        });
    }
  });

  it('has every point of a section that tells its edges apart as far from the joint, all round', async () => {
    const sections = [
      'section: { name: court, crest: 40 % + 0.1 mm, dome: [0.2 mm, 0.4 mm], edge: [0.1 mm, 0.3 mm] }',
      'section: { name: bevelled, crest: 45 %, bevel: { width: 20 %, angle: 25 deg } }',
      'section: { name: knife-edge, crest: 2 mm, ridge: { drop: 0.4 mm } }',
      'section: { name: d, step: { width: 0.7 mm, depth: 0.2 mm, edges: first } }',
    ];
    for (const section of sections) {
      const { pairs, shapes } = await pairOf(
        '{ mirror: true }',
        SEAMS,
        '',
        `${section}\ntaper: { width: 80 %, thickness: 1.7 mm }`,
      );
      const [left, right] = [pairs[0].left, pairs[0].right].map(({ shape }) => wholeBand(shapes[shape]));
      for (const theta of [0, 1, 2.5, 4]) {
        const z = (share: number) => share * left.high.curve.z(theta);
        for (const share of [-0.9, -0.5, -0.2, 0, 0.3, 0.7, 0.95])
          expect(radiusAt(right.outer(theta), z(share))).toBeCloseTo(
            radiusAt(left.outer(theta), z(-share)),
            12,
          );
        expect(right.low.curve.z(theta)).toBeCloseTo(-left.high.curve.z(theta), 12);
        expect(right.low.outerSoften).toBe(left.high.outerSoften);
        expect(right.low.shoulder?.depthMm).toBe(left.high.shoulder?.depthMm);
        expect(right.high.shoulder?.depthMm).toBe(left.low.shoulder?.depthMm);
      }
    }
  });

  it('has its lanes, alloys and finishes in reverse order under their own names, and whatever a lane carries', async () => {
    const { pairs, shapes } = await pairOf('{ mirror: true }');
    const { right } = pairs[0];
    const design = shapes[right.shape];
    expect(design.lanes.map(({ name }) => name)).toEqual(['sky', 'water', 'sand']);
    expect(right.dress).toMatchObject({
      alloys: ['rose-18', 'white-18', 'yellow-18'],
      finishes: ['brushed', 'polished', 'satin'],
    });
    expect(design.lanes[2]).toMatchObject({ recessMm: 0.1, inlay: { depthMm: 0.7, bed: 'water' } });
    // marks are struck anew: the seed is the design's, no mesh is mirrored
    expect(design.lanes[0].hammer).toEqual(shapes[pairs[0].left.shape].lanes[2].hammer);
    expect(right.shape).not.toBe(pairs[0].left.shape);
    expect(right.axes.hand).toBe('Mirrored');
    expect(right.sku).toMatch(/-duo-partner$/);
  });

  it('of another size has as many whole waves as keep their length, and matches at the top', async () => {
    const { left, right, leftAt, rightAt } = await fromJoint('{ size: ISO 62, mirror: true }');
    const waves = right.seams.flatMap((s) => (s.kind === 'wave' ? [s.periods] : []));
    expect(waves).toEqual([Math.round((6 * 62) / 52)]);
    leftAt(0).forEach((z, i) => {
      expect(rightAt(0)[i]).toBeCloseTo(z, 12);
    });
    const length = ({ circumferenceMm }: typeof left, n: number) => circumferenceMm / n;
    expect(Math.abs(length(right, waves[0]) / length(left, 6) - 1)).toBeLessThan(1 / (2 * waves[0]));
  });

  it('turned by half a wave runs on beside the other: both waves swing the same way', async () => {
    const seams =
      '  shore: { kind: wave, at: 30 %, amplitude: 0.4 mm, waves: 6, sharpness: 40 %, phase: 20 deg }\n  horizon: { kind: wave, at: 70 %, amplitude: 0.3 mm, waves: 6 }';
    const { pairs, shapes } = await pairOf('{ mirror: { turn: half-wave } }', seams);
    const [left, right] = [pairs[0].left, pairs[0].right].map(({ shape }) =>
      shapes[shape].seams.map((s) => seamCurve(s).z),
    );
    for (const theta of round) {
      expect(right[1](theta) - left[0](theta)).toBeCloseTo(0.4 * 5, 12);
      expect(right[0](theta) - left[1](theta)).toBeCloseTo(-0.4 * 5, 12);
    }
  });

  it('turned by an angle is the mirrored one, so much later round the band', async () => {
    const turned = await fromJoint('{ mirror: { turn: 25 deg } }');
    for (const theta of round)
      turned.leftAt(theta).forEach((z, i) => {
        expect(turned.rightAt(theta + (25 * Math.PI) / 180)[i]).toBeCloseTo(z, 10);
      });
  });

  it('lies edge on edge in the pair shot, unless the pair says otherwise', async () => {
    expect((await pairOf('{ mirror: true }')).takes[0].shot.laid).toBe('stacked');
    expect((await pairOf('{ mirror: true }', SEAMS, ', lay: apart')).takes[0].shot.laid).toBeUndefined();
    expect((await pairOf('{ size: ISO 60 }')).takes[0].shot.laid).toBeUndefined();
    expect((await pairOf('{ size: ISO 60 }', SEAMS, ', lay: stacked')).takes[0].shot.laid).toBe('stacked');
    expect((await pairOf('{ size: ISO 60 }', SEAMS, ', lay: worn')).takes[0].shot.laid).toBe('worn');
  });
});

describe('letters of a mirrored partner', () => {
  const lettersOf = async (keys: string) => {
    const letters = `\nengraving: { inside: { text: a, ${keys} }, outside: { text: b, lane: water, ${keys} } }`;
    const { pairs, shapes } = await pairOf('{ mirror: true }', SEAMS + letters);
    return [pairs[0].left, pairs[0].right].map(({ shape }) => shapes[shape].engraving!);
  };

  it('stand towards the edge that has taken the place of the one named, and lie as far from it', async () => {
    const [left, right] = await lettersOf('heads: second, across: 2 mm');
    for (const side of ['inside', 'outside'] as const) {
      expect([left[side]?.heads, right[side]?.heads]).toEqual(['second', 'first']);
      expect(right[side]?.centreMm).toBeCloseTo(-left[side]!.centreMm!, 12);
    }
  });

  it('stand as usual where no edge is named', async () => {
    for (const design of await lettersOf('height: 1 mm'))
      expect([design.inside, design.outside].map((l) => l && 'heads' in l)).toEqual([false, false]);
  });
});

describe('a partner of the same hand', () => {
  it('keeps the number of waves, or fits it if asked to', async () => {
    const waves = async (partner: string) => {
      const { right } = await fromJoint(partner);
      expect(right.lanes[0].name).toBe('sand');
      return right.seams.flatMap((s) => (s.kind === 'wave' ? [s.periods] : []));
    };
    expect(await waves('{ size: ISO 62 }')).toEqual([6]);
    expect(await waves('{ size: ISO 62, waves: fit }')).toEqual([7]);
  });
});

describe('keys of lanes and pairs', () => {
  const grid =
    'grid: { size: [ISO 52], metal: [{ label: A, slug: A, value: { sand: yellow-18, water: white-18, sky: rose-18 } }] }';
  const problems = (lanes: string, partner = '{}') =>
    problemsOf(
      config({
        template: 'template: trial.yaml',
        grid,
        origins: '',
        pairs: `pairs: [{ name: duo, partner: ${partner} }]`,
        shots: 'shots: [pair]',
      }),
      {
        'trial.yaml': `title: T\nsection: flat\nwidth: 5 mm\nthickness: 2 mm\nlanes:\n${lanes}\nseams:\n  a: { kind: straight, at: 30 % }\n  b: { kind: straight, at: 70 % }\n`,
      },
    );

  it('want to know which of two alloys carries an inlay', async () => {
    const open =
      '  sand: { alloy: yellow-18 }\n  water: { alloy: white-18, inlay: { depth: 0.8 mm } }\n  sky: { alloy: rose-18 }';
    const [problem, ...more] = await problems(open);
    expect(more).toEqual([]);
    expect(problem).toMatchObject({
      code: 'inlay-bed',
      path: 'lanes.water.inlay',
      expected: 'one alloy for sand and sky, or a "bed" that says which runs on beneath',
      received: 'yellow-18 and rose-18',
      advice: 'Write bed: sand or bed: sky.',
      place: { line: 7 },
    });
    expect(await problems(open.replace('0.8 mm', '0.8 mm, bed: sky'))).toEqual([]);
  });

  it('name a bed that is beside the inlay', async () => {
    const lanes = '  sand: { inlay: { depth: 0.8 mm, bed: sky } }\n  water: {}\n  sky: {}';
    expect(await problems(lanes)).toMatchObject([
      { code: 'inlay-bed', path: 'lanes.sand.inlay.bed', received: '"sky"', advice: 'Write bed: water.' },
    ]);
  });

  it('refuse a turn that is none', async () => {
    const lanes = '  sand: {}\n  water: {}\n  sky: {}';
    const [problem] = await problems(lanes, '{ mirror: { turn: sideways } }');
    expect(problem.path).toContain('mirror');
    expect(problem.expected).toContain('half-wave');
  });
});
