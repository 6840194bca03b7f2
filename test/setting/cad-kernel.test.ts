import { beforeAll, describe, expect, it } from 'vitest';
import { buildLanes } from '../../pipeline/band/build-lanes.ts';
import { lanesOf } from '../../pipeline/band/lane.ts';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import { CLAW_TIPS } from '../../pipeline/plan/setting-design.ts';
import { isRefused, ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { grooveCutter } from '../../pipeline/setting/channel.ts';
import { bendWithin, clawMesh, clawSections } from '../../pipeline/setting/claw-form.ts';
import { planRow } from '../../pipeline/setting/row-plan.ts';
import { seatFor } from '../../pipeline/setting/seat.ts';
import { loadSolidKernel, NativeSolids } from '../../pipeline/setting/solid-kernel.ts';
import { cutStone } from '../../pipeline/setting/stone.ts';
import { along } from '../../pipeline/setting/vec.ts';
import { bandDesign } from '../band/designs.ts';
import { type CadKernel, type CadSolid, type Corner, loadCadKernel, type Side } from './cad-kernel.ts';
import { straightRowDesign } from './stone-designs.ts';

// Volumes by Open CASCADE (boundary representation: true arcs, cylinders, cones, rolling-ball fillets), a reference
// library that shares no code with ours. It is given the design’s measures; seats take their radii and heights from ours.
let cad: CadKernel;
beforeAll(async () => {
  cad = await loadCadKernel();
});

/** r over z of an arc of given sagitta over the width, level in the middle: circle through three points. */
function arcOver(width: number, middle: number, ends: number): (z: number) => number {
  const sagitta = middle - ends;
  if (sagitta === 0) return () => middle;
  const radius = (width ** 2 / 4 + sagitta ** 2) / (2 * Math.abs(sagitta));
  const sign = Math.sign(sagitta);
  return (z) => middle - sign * (radius - Math.sqrt(radius ** 2 - z ** 2));
}

/** A lane between two straight seams or edges, made sharp and then filleted by the other engine. */
function cadLane(design: ShapeDesign, index: number): CadSolid {
  const { widthMm, thicknessMm, section, lanes } = design;
  const bore = design.circumferenceMm / (2 * Math.PI);
  const crest = bore + thicknessMm;
  const sag = section.name === 'concave' ? -section.domeMm : section.domeMm;
  const outside = section.name === 'concave' ? crest - section.domeMm : crest;
  const outer = arcOver(widthMm, outside, outside - sag);
  const inner = arcOver(widthMm, bore, bore + section.comfortMm);
  const { recessMm, softenMm } = lanes[index];
  const cuts = design.seams.map((seam) => {
    if (seam.kind !== 'straight') throw new Error('a straight seam was expected');
    return seam.atMm;
  });
  const bounds = [-widthMm / 2, ...cuts, widthMm / 2];
  const [low, high] = [bounds[index], bounds[index + 1]];
  const top = (z: number): Corner => [outer(z) - recessMm, z];
  const bottom = (z: number): Corner => [inner(z), z];
  const middle = (low + high) / 2;
  const arc = (at: (z: number) => Corner, from: number, to: number, bent: boolean): Side => ({
    from: at(from),
    ...(bent && { through: at(middle) }),
    to: at(to),
  });
  const sharp = cad.revolve([
    arc(bottom, low, high, section.comfortMm > 0),
    { from: bottom(high), to: top(high) },
    arc(top, high, low, section.domeMm > 0),
    { from: top(low), to: bottom(low) },
  ]);
  const first = index === 0;
  const last = index === lanes.length - 1;
  return cad.fillet(sharp, [
    { at: bottom(low), radius: first ? section.boreEdgeMm : 0 },
    { at: bottom(high), radius: last ? section.boreEdgeMm : 0 },
    { at: top(low), radius: first ? section.edgeMm : softenMm },
    { at: top(high), radius: last ? (section.farEdgeMm ?? section.edgeMm) : softenMm },
  ]);
}

const SOFT = { edgeMm: 0.25, boreEdgeMm: 0.2 };
const SECTIONS = {
  flat: { name: 'flat', domeMm: 0, comfortMm: 0, ...SOFT },
  d: { name: 'd', domeMm: 0.5, comfortMm: 0, ...SOFT },
  court: { name: 'court', domeMm: 0.4, comfortMm: 0.25, ...SOFT, farEdgeMm: 0.35 },
  'flat-court': { name: 'flat-court', domeMm: 0, comfortMm: 0.25, ...SOFT },
} as const;

describe('against Open CASCADE', () => {
  it('a plain ring is the closed form: πw((r+t)² − r²) for circumference 54, 4 by 1.6 mm', () => {
    const volume = cad.volume(cadLane(bandDesign(), 0));
    expect(volume).toBeCloseTo(
      Math.PI * 4 * ((54 / (2 * Math.PI) + 1.6) ** 2 - (54 / (2 * Math.PI)) ** 2),
      6,
    );
  });

  it.each(Object.values(SECTIONS))(
    'the lanes of a filleted $name band with straight seams and a recess have its volumes to 0.3 %%',
    async (section) => {
      const design = bandDesign({
        widthMm: 5,
        thicknessMm: 1.9,
        section,
        seams: [
          { kind: 'straight', atMm: -0.8 },
          { kind: 'straight', atMm: 1.1 },
        ],
        lanes: [
          { name: 'near', recessMm: 0, softenMm: 0.3 },
          { name: 'ribbon', recessMm: 0.25, softenMm: 0.15 },
          { name: 'far', recessMm: 0.1, softenMm: 0.2 },
        ],
        chordToleranceMm: 0.006,
      });
      const { lanes } = await buildShape(design);
      const ratios = lanes.map(({ volumeMm3 }, i) => volumeMm3 / cad.volume(cadLane(design, i)));
      for (const ratio of ratios) expect(Math.abs(ratio - 1)).toBeLessThan(3e-3);
    },
  );

  it('a filleted court band parted by a wave has its lanes’ volumes to 0.3 %', async () => {
    const [amplitude, periods, at] = [0.6, 4, 0.3];
    const whole = bandDesign({
      widthMm: 5,
      thicknessMm: 1.9,
      section: SECTIONS['flat-court'],
      chordToleranceMm: 0.006,
    });
    const wave = {
      kind: 'wave',
      atMm: at,
      amplitudeMm: amplitude,
      periods,
      sharpness: 0,
      phaseRad: 0,
    } as const;
    const lanes = ['near', 'far'].map((name) => ({ name, recessMm: 0, softenMm: 0 }));
    const { lanes: built } = await buildShape({ ...whole, seams: [wave], lanes });
    const bore = whole.circumferenceMm / (2 * Math.PI);
    const z = (theta: number) => at + amplitude * Math.sin(periods * theta);
    const parts = cad
      .split(cadLane(whole, 0), z, [bore - 1, bore + 3])
      .map((part) => cad.volume(part, 1e-4))
      .sort((a, b) => b - a);
    expect(parts).toHaveLength(2);
    const ratios = built.map(({ volumeMm3 }, i) => volumeMm3 / parts[i]);
    for (const ratio of ratios) expect(Math.abs(ratio - 1)).toBeLessThan(3e-3);
  });

  it.each(CLAW_TIPS)('a bent claw with a %s tip, lofted through its level sections, to 1 %%', (style) => {
    const frame = { origin: [0, 10, 0], x: [1, 0, 0], y: [0, 0, -1], axis: [0, 1, 0] } as const;
    const body = { frame, radius: 0.3, root: 0.05, tip: 0.4, foot: -0.55, style };
    const claw = { ...body, bend: bendWithin(body, 1) };
    const rings = clawSections(claw)
      .slice(1, -1)
      .map(({ h, along: a, across: b, shift }) =>
        cad.ellipse(
          along(along(frame.origin, frame.y, shift), frame.axis, h),
          { axis: frame.axis, long: a >= b ? frame.x : frame.y },
          [Math.max(a, b), Math.min(a, b)],
        ),
      );
    // the shaft in the metal, a cylinder, and the hollow over it, turned about the axis and drawn out along the row
    const [{ h: low, along: long, across }, { h: high, across: neck }] = clawSections(claw);
    const arc = (high - low) * Math.SQRT2;
    const middle: Corner = [0.3 + arc * (Math.SQRT1_2 - Math.sin((3 * Math.PI) / 8)), 0];
    middle[1] = low + arc * (Math.SQRT1_2 - Math.cos((3 * Math.PI) / 8));
    const base = cad.revolve([
      { from: [0, -0.55], to: [0.3, -0.55] },
      { from: [0.3, -0.55], to: [0.3, low] },
      { from: [0.3, low], through: middle, to: [neck, high] },
      { from: [neck, high], to: [0, high] },
      { from: [0, high], to: [0, -0.55] },
    ]);
    const theirs = (cad.volume(base) * long) / across + cad.volume(cad.loft(rings, false), 1e-4);
    const ours = meshVolume(clawMesh(claw, 0.0005));
    expect(Math.abs(ours / theirs - 1)).toBeLessThan(0.01);
  });

  it('a band with a channel all round, turned in one go, to 0.3 %', async () => {
    const design = straightRowDesign(
      { setting: { style: 'channel', openingShare: 0.9 }, setDepthMm: 0.2, leastGapMm: 0.3, count: 20 },
      { widthMm: 4, thicknessMm: 2.3, chordToleranceMm: 0.003 },
    );
    const planned = planRow(design.rows[0], 0, lanesOf(design));
    if (isRefused(planned)) throw new ProblemError(planned.problems);
    const { half, ledge, slot, floor } = planned.channel!;
    const level = design.circumferenceMm / (2 * Math.PI) + design.thicknessMm - design.rows[0].setDepthMm;
    const outline: Corner[] = [
      [floor, -half],
      [-slot, -half],
      [-slot, -ledge],
      [slot, -ledge],
      [slot, -half],
      [1.5, -half],
    ].map(([h, z]): Corner => [level + h, z]);
    const corners = [...outline, ...outline.map(([r, z]): Corner => [r, -z]).reverse()];
    const groove = cad.revolve(corners.map((from, i) => ({ from, to: corners[(i + 1) % corners.length] })));
    const cut = cad.subtract(cadLane(design, 0), groove);
    const solids = new NativeSolids(await loadSolidKernel());
    const [{ mesh, lane }] = buildLanes({ ...design, rows: [] });
    const cutter = solids.fromMesh(grooveCutter(lane, design.rows[0], planned.channel!, 0.003));
    const ours = solids.subtract(solids.fromMesh(mesh), [cutter]).volume();
    solids.free();
    expect(Math.abs(ours / cad.volume(cut) - 1)).toBeLessThan(3e-3);
  });

  it('a softened edge matters: without it the volumes differ by more than the tolerance', async () => {
    const section = { ...SECTIONS.court, edgeMm: 0.6 };
    const { lanes } = await buildShape(bandDesign({ section }));
    const sharper = cad.volume(cadLane(bandDesign({ section: { ...section, edgeMm: 0.3 } }), 0));
    expect(Math.abs(lanes[0].volumeMm3 / sharper - 1)).toBeGreaterThan(3e-3);
  });

  it('a band less the seats of its stones: cylinders and cones placed by the row, to 0.3 %', async () => {
    const design = straightRowDesign(
      { setting: { style: 'none' }, coverage: { kind: 'arc', angleRad: 1.1 } },
      { chordToleranceMm: 0.003 },
    );
    const { lanes, rows } = await buildShape(design);
    const [row] = rows;
    expect(row.count).toBeGreaterThan(4);
    const seat = seatFor(cutStone('round-brilliant', design.rows[0].diameterMm), design.rows[0].holeShare);
    if (seat.opening.kind !== 'round' || seat.hole?.kind !== 'round') throw new Error('a round seat');
    const cutter = seatOutline(seat.hole.radius, seat.bearingFoot, seat.opening.radius, seat.bearingTop);
    const bare = cadLane(design, 0);
    let set = bare;
    for (let i = 0; i < row.count; i++)
      set = cad.subtract(set, cad.place(cutter, row.placements.subarray(12 * i, 12 * i + 12)));
    expect(Math.abs(lanes[0].volumeMm3 / cad.volume(set) - 1)).toBeLessThan(3e-3);
    // our seats have as many sides as the tolerance asks for, all inside the circle: they take 1 % less at most
    const [{ volumeMm3: full }] = (await buildShape({ ...design, rows: [] })).lanes;
    const taken = (full - lanes[0].volumeMm3) / (cad.volume(bare) - cad.volume(set));
    expect(taken).toBeGreaterThan(0.985);
    expect(taken).toBeLessThan(1.005);
  });
});

/** Hole, bearing and opening of a seat about the stone's axis, from well below the bore to well above the band. */
function seatOutline(hole: number, foot: number, opening: number, top: number): CadSolid {
  const outline: Corner[] = [
    [0, -4],
    [hole, -4],
    [hole, foot],
    [opening, top],
    [opening, 2],
    [0, 2],
  ];
  return cad.revolve(outline.map((from, i) => ({ from, to: outline[(i + 1) % outline.length] })));
}
