import { beforeAll, describe, expect, it } from 'vitest';
import { buildLanes } from '../../pipeline/band/build-lanes.ts';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { type CadKernel, loadCadKernel } from '../setting/cad-kernel.ts';
import { wiresDesign } from './strand-designs.ts';

// Open CASCADE's pipes along the same lines, worked out here from the design's measures alone.
let cad: CadKernel;
beforeAll(async () => {
  cad = await loadCadKernel();
});

const TURNS = 4;
const REPEAT = (2 * Math.PI) / TURNS;
const SPACE = { widthMm: 4, thicknessMm: 2.8, circumferenceMm: 54, chordToleranceMm: 0.001 };

/** A wire's centre line: to and fro once in a repeat, up and down `rises` times, a share of a turn behind the first. */
function lineOf(wireMm: number, rises: number, behind: number) {
  const middle = SPACE.circumferenceMm / (2 * Math.PI) + SPACE.thicknessMm / 2;
  return (theta: number) => {
    const u = TURNS * theta + 2 * Math.PI * behind;
    const r = middle + ((SPACE.thicknessMm - wireMm) / 2) * Math.sin(rises * u);
    const z = ((SPACE.widthMm - wireMm) / 2) * Math.cos(u);
    return [r * Math.sin(theta), r * Math.cos(theta), z] as const;
  };
}

describe('against Open CASCADE', () => {
  it.each([
    ['twist', 1, 2],
    ['braid', 2, 3],
  ] as const)('a wire of a %s has the volume of a pipe along its line, to 0.3 %%', (kind, rises, count) => {
    const design = wiresDesign(count, { kind, turns: TURNS, wireMm: 0.8 }, SPACE);
    const pipe = cad.pipe(lineOf(0.8, rises, 0), 0.4, [0, REPEAT], 48);
    const theirs = TURNS * cad.volume(pipe, 1e-5);
    for (const { mesh } of buildLanes(design))
      expect(Math.abs(meshVolume(mesh) / theirs - 1)).toBeLessThan(3e-3);
  });

  it('joined wires of a plait lack what both have at each crossing, to 3 %', async () => {
    const wireMm = 1.3;
    const between = { kind: 'joined', overlapMm: 0.1 } as const;
    const design = wiresDesign(3, { kind: 'braid', turns: TURNS, wireMm, between }, SPACE);
    // the first two cross where cos u = cos(u + 2π/3); any two cross twice in a repeat, and all crossings are alike
    const [from, to] = [-0.6, 0.6].map((u) => (u + (2 * Math.PI) / 3) / TURNS);
    const [over, under] = [0, 1 / 3].map((behind) =>
      cad.pipe(lineOf(wireMm, 2, behind), wireMm / 2, [from, to], 12),
    );
    const shared = cad.volume(cad.common(over, under), 1e-4);
    // they lie some 0.1 mm deep in each other, and chords within 1 µm add a share to that; one crossing of 24 is 4 %
    const bare = buildLanes(design).reduce((sum, { mesh }) => sum + meshVolume(mesh), 0);
    const { lanes } = await buildShape(design);
    const cut = bare - lanes.reduce((sum, { volumeMm3 }) => sum + volumeMm3, 0);
    expect(Math.abs(cut / (3 * 2 * TURNS * shared) - 1)).toBeLessThan(0.03);
  });
});
