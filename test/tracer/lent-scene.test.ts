/** What the live view takes over from scene to scene changes no bit of a film. */
import { beforeAll, describe, expect, it } from 'vitest';
import { takeLooks } from '../../pipeline/artefacts/film.ts';
import { takeScene } from '../../pipeline/artefacts/film-scene.ts';
import type { Plan } from '../../pipeline/plan/plan.ts';
import { poseTake } from '../../pipeline/scene/take-scene.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { GROUND_FLOATS } from '../../pipeline/tracer/turned-scene.ts';
import { config, planOf } from '../plan/workspace.ts';
import { kernel } from './kernel-fixture.ts';

const SIZE = 16;
let plan: Plan;
beforeAll(async () => {
  ({ plan } = await planOf(
    config({
      template: 'template: plain-court',
      overrides: 'overrides: { chord-tolerance: 0.06 mm }',
      grid: 'grid: { size: [ISO 53], metal: [yellow-18, platinum-950] }',
      lights: 'lights: side-window',
      shots: `shots: [{ view: front, frame: ${SIZE * 4} px, ground: sweep }]`,
    }),
  ));
});

async function scenes() {
  const [{ shot, shapes }] = plan.takes;
  const shape = await buildShape(plan.shapes[shapes[0]]);
  const looks = takeLooks(plan.takes[0]);
  const frame = { ...shot, widthPx: SIZE, heightPx: SIZE };
  return { frame, shape, looks };
}

describe('a scene that borrows from the one before', () => {
  it('is the same with the pose and mesh of other colours', async () => {
    const { frame, shape, looks } = await scenes();
    const fresh = takeScene(frame, looks, [shape]);
    const pose = { ...poseTake(frame, [shape]), mesh: fresh.mesh };
    const others = { ...looks, colours: looks.colours.toReversed() };
    expect(takeScene(frame, others, [shape], undefined, pose)).toEqual(takeScene(frame, others, [shape]));
  });

  it('has the same light on its ground when hands measure it in shares', async () => {
    const { frame, shape, looks } = await scenes();
    const scene = takeScene(frame, looks, [shape]);
    const alone = await kernel();
    alone.load(scene);
    const hands = [await kernel(), await kernel(), await kernel()];
    const grid = new Float32Array(GROUND_FLOATS);
    hands.forEach((hand, share) => {
      hand.load(scene, { ground: true });
      hand.measureGround(share, hands.length, grid);
    });
    const [hand] = hands;
    const rgb = new Float32Array(SIZE * SIZE * 3 * looks.colours.length);
    const before = new Float32Array(rgb.length);
    hand.render(0, 0, SIZE, SIZE, 0, 2, 1, before);
    hand.takeGround(grid);
    hand.render(0, 0, SIZE, SIZE, 0, 2, 1, rgb);
    const reference = new Float32Array(rgb.length);
    alone.render(0, 0, SIZE, SIZE, 0, 2, 1, reference);
    expect(rgb).toEqual(reference);
    // a third of the grid alone is not enough
    expect(before).not.toEqual(reference);
  });
});
