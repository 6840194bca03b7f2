/** What the live view takes over from scene to scene changes no bit of a film. */
import { beforeAll, describe, expect, it } from 'vitest';
import { takeLooks } from '../../pipeline/artefacts/film.ts';
import { takeScene } from '../../pipeline/artefacts/film-scene.ts';
import type { Plan } from '../../pipeline/plan/plan.ts';
import { poseTake } from '../../pipeline/scene/take-scene.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { GROUND_FLOATS } from '../../pipeline/tracer/ground-grid.ts';
import { EVEN_PIXELS, ODD_PIXELS } from '../../pipeline/tracer/kernel/layout.ts';
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

  it('is the same bits with other colours and finishes laid over one that is loaded', async () => {
    const { frame, shape, looks } = await scenes();
    const [band] = looks.finishes;
    const rough = { alphaX: 0.2, alphaY: 0.35 };
    const other = { ...looks, colours: looks.colours.toReversed(), finishes: [band.map(() => rough)] };
    const [before, after] = [looks, other].map((l) => takeScene(frame, l, [shape]));
    const hand = await kernel();
    const film = (scene?: typeof after) => {
      if (scene) hand.load(scene);
      const rgb = new Float32Array(SIZE * SIZE * 3 * looks.colours.length);
      hand.render(0, 0, SIZE, SIZE, 0, 2, 1, rgb);
      return rgb;
    };
    const first = film(before);
    hand.recolour(after);
    const laid = film();
    expect(laid).not.toEqual(first);
    expect(laid).toEqual(film(after));
  });

  it('traces the fields of a chequerboard to the bits of the whole', async () => {
    const { frame, shape, looks } = await scenes();
    const hand = await kernel();
    hand.load(takeScene(frame, looks, [shape]));
    const film = (pixels?: 1 | 2) => {
      const rgb = new Float32Array(SIZE * SIZE * 3 * looks.colours.length);
      return { paths: hand.render(0, 0, SIZE, SIZE, 0, 1, 1, rgb, pixels), rgb };
    };
    const [all, even, odd] = [film(), film(EVEN_PIXELS), film(ODD_PIXELS)];
    expect([all.paths, even.paths, odd.paths]).toEqual([SIZE ** 2, SIZE ** 2 / 2, SIZE ** 2 / 2]);
    expect(even.rgb.map((v, i) => v + odd.rgb[i])).toEqual(all.rgb);
    // the second pixel of the first row is odd
    expect(even.rgb.slice(3, 6)).toEqual(new Float32Array(3));
    expect(odd.rgb.slice(0, 3)).toEqual(new Float32Array(3));
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
