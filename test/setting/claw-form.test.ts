import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import { CLAW_TIPS, type ClawTip } from '../../pipeline/plan/setting-design.ts';
import { bendWithin, clawMesh, clawOverhang, clawSections } from '../../pipeline/setting/claw-form.ts';
import { type Frame, toStone } from '../../pipeline/setting/stone.ts';
import { cross, unit, type Vec } from '../../pipeline/setting/vec.ts';
import { inspectMesh } from '../band/closed-mesh.ts';

/** Somewhere in the band, leaning. */
const [x, axis] = [unit([0.6, 0.8, 0]), unit([0.8, -0.6, 1])];
const PLACE: Frame = { origin: [4, 9, -1], x, y: cross(axis, x), axis };

/** How the four tips turn from side to top, and how wide they are along the row at the top: the contract, said again. */
const POWER: Record<ClawTip, number> = { round: 1.8, talon: 1.8, tab: 3, corner: 2.4 };
const WIDENING: Record<ClawTip, number> = { round: -0.3, talon: -0.65, tab: 0.1, corner: -0.25 };
/** How much longer they are along the row than across it. */
const LENGTH: Record<ClawTip, number> = { round: 1, talon: 1, tab: 1, corner: 1.5 };

interface Body {
  radius: number;
  root: number;
  tip: number;
  style: ClawTip;
}

function clawOf({ radius, root, tip, style }: Body) {
  const body = { frame: PLACE, radius, root, tip, style, foot: root - 2 * radius };
  return { ...body, bend: bendWithin(body, 2 * radius) };
}

/** The hollow, a quarter less its first 45° of a circle, and the dome over it. */
function measures({ radius, root, tip, style }: Body) {
  const grown = 0.4 * (tip - root - 0.45 * radius);
  const hollow = grown < 0.004 ? 0 : Math.min(grown, 0.14 * radius);
  const arc = hollow * Math.SQRT2;
  const q = radius - arc * (1 - Math.SQRT1_2);
  const rise = tip - root - hollow;
  const power = Math.min(6, POWER[style] + Math.max(0, rise / q - 1));
  return { hollow, arc, q, rise, power };
}

/** Signed distance, to first order, of a point in the claw's frame from the true claw: negative inside. */
function outside(body: Body & { bend: number }, at: Vec): number {
  const { hollow, arc, q, rise, power } = measures(body);
  const level = ([drawnOut, py, h]: Vec) => {
    const px = drawnOut / LENGTH[body.style];
    const up = h - body.root;
    if (up <= 0) return Math.hypot(px, py) - body.radius;
    if (up < hollow) {
      const drop = arc * Math.SQRT1_2 - up;
      return Math.hypot(px, py) - (body.radius + arc * Math.SQRT1_2 - Math.sqrt(arc * arc - drop * drop));
    }
    const t = Math.min(1, (up - hollow) / rise);
    const wide = 1 + WIDENING[body.style] * t * t;
    // a smooth measure that is level on the surface and does not end at the tip
    return (
      (q / power) *
      ((Math.hypot(px / wide, py - body.bend * t * t) / q) ** power + ((up - hollow) / rise) ** power - 1)
    );
  };
  const here = level(at);
  const slope = [0, 1, 2].map((k) => {
    const there: Vec = [
      at[0] + (k === 0 ? 1e-6 : 0),
      at[1] + (k === 1 ? 1e-6 : 0),
      at[2] + (k === 2 ? 1e-6 : 0),
    ];
    return (level(there) - here) / 1e-6;
  });
  return here / Math.hypot(...slope);
}

describe('a claw', () => {
  it('keeps to its surface within the tolerance, closed, its normals those of its faces', () => {
    fc.assert(
      fc.property(
        fc.record({
          radius: fc.double({ min: 0.1, max: 0.6, noNaN: true }),
          // from a grain that hardly stands out to a claw over a stone set high
          height: fc.double({ min: 0.5, max: 3, noNaN: true }),
          style: fc.constantFrom(...CLAW_TIPS),
        }),
        fc.constantFrom(0.002, 0.005, 0.01),
        ({ radius, height, style }, chordMm) => {
          const claw = clawOf({ radius, root: 0.05, tip: 0.05 + height * radius, style });
          const mesh = clawMesh(claw, chordMm);
          const { looseEdges, genus, leastCosine } = inspectMesh(mesh);
          expect([looseEdges, genus]).toEqual([0, 0]);
          expect(leastCosine).toBeGreaterThan(0.5);
          let worst = 0;
          for (let t = 0; t < mesh.indices.length; t += 3) {
            const corners = [0, 1, 2].map((k) => {
              const i = 3 * mesh.indices[t + k];
              return toStone(PLACE, [mesh.positions[i], mesh.positions[i + 1], mesh.positions[i + 2]]);
            });
            for (const shares of [
              [1, 0, 0],
              [0.5, 0.5, 0],
              [0, 0.5, 0.5],
              [0.5, 0, 0.5],
              [1 / 3, 1 / 3, 1 / 3],
            ]) {
              const sum = (k: number) => corners.reduce((all, c, n) => all + shares[n] * c[k], 0);
              const at: Vec = [sum(0), sum(1), sum(2)];
              if (at[2] > claw.foot + 1e-4) worst = Math.max(worst, Math.abs(outside(claw, at)));
            }
          }
          // a tenth more where chords round a ring and from ring to ring add to each other
          expect(worst).toBeLessThan(1.1 * chordMm + 1e-5);
        },
      ),
      { numRuns: 40 },
    );
  });

  it('has the volume of its level sections, however far it bends (Cavalieri): Simpson’s rule over the contract’s outline', () => {
    for (const style of CLAW_TIPS) {
      const body = { radius: 0.3, root: 0.05, tip: 0.4, style };
      const { hollow, arc, q, rise, power } = measures(body);
      const area = (h: number) => {
        if (h < hollow) {
          const drop = arc * Math.SQRT1_2 - h;
          return Math.PI * (0.3 + arc * Math.SQRT1_2 - Math.sqrt(arc * arc - drop * drop)) ** 2;
        }
        const t = Math.min(1, (h - hollow) / rise);
        return Math.PI * q * q * (1 - t ** power) ** (2 / power) * (1 + WIDENING[style] * t * t);
      };
      const steps = 2000;
      let volume = Math.PI * 0.3 ** 2 * 0.6;
      for (let i = 0; i < steps; i++) {
        const [from, to] = [i, i + 1].map((k) => (k / steps) * 0.35);
        volume += ((to - from) / 6) * (area(from) + 4 * area((from + to) / 2) + area(to));
      }
      volume *= LENGTH[style];
      const straight = meshVolume(clawMesh({ ...clawOf(body), bend: 0 }, 0.0005));
      const leant = meshVolume(clawMesh(clawOf(body), 0.0005));
      expect(straight / volume).toBeGreaterThan(0.985);
      expect(straight / volume).toBeLessThan(1);
      expect(leant / straight).toBeCloseTo(1, 3);
    }
  });

  it('tapers from its base to its tip and bends to its stones, no farther than it has room', () => {
    for (const style of CLAW_TIPS) {
      const claw = clawOf({ radius: 0.3, root: 0.05, tip: 0.5, style });
      const sections = clawSections(claw);
      sections.slice(1).forEach(({ across, shift }, i) => {
        expect(across).toBeLessThanOrEqual(sections[i].across + 1e-12);
        expect(shift).toBeGreaterThanOrEqual(sections[i].shift);
      });
      expect(claw.bend).toBeGreaterThan(0.02);
      // with no room at all it keeps within its base
      const tight = { ...claw, bend: bendWithin(claw, 0) };
      expect(clawOverhang(tight)).toBeLessThanOrEqual(0.3 + 1e-9);
    }
    // a talon is drawn out to a point along the row, a tab is not
    const widthNearTop = (style: ClawTip) => {
      const sections = clawSections(clawOf({ radius: 0.3, root: 0.05, tip: 0.4, style }));
      const half = sections.find(({ h }) => h > 0.3)!;
      return half.along / half.across;
    };
    expect(widthNearTop('talon')).toBeLessThan(0.75);
    expect(widthNearTop('tab')).toBeGreaterThan(1);
    // a bar: longer than across, and no wider at its top than at its foot
    expect(widthNearTop('corner')).toBeGreaterThan(1.2);
    const bar = clawSections(clawOf({ radius: 0.3, root: 0.05, tip: 0.4, style: 'corner' }));
    bar.slice(1).forEach(({ along }, i) => {
      expect(along).toBeLessThanOrEqual(bar[i].along + 1e-12);
    });
  });
});
