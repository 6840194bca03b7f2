import { describe, expect, it } from 'vitest';
import { takeLooks } from '../../pipeline/artefacts/film.ts';
import { takeScene } from '../../pipeline/artefacts/film-scene.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { turnedScene } from '../../pipeline/tracer/turned-scene.ts';
import { config, planOf } from '../plan/workspace.ts';
import { film, kernel } from './kernel-fixture.ts';

const FRAME = 24;
const SAMPLES = 128;

/** A wave on a plain band under one-sided light: nothing about it is the same from every side. */
async function turntable() {
  const { plan } = await planOf(
    config({
      template: 'template: vow-line',
      overrides: 'overrides: { chord-tolerance: 0.06 mm, engraving: { inside: none, outside: none } }',
      grid: 'grid: { size: [ISO 53] }',
      lights: 'lights: side-window',
      shots: `shots: [{ view: turntable, frames: 24, frame: ${FRAME * 4} px, ground: sweep }]`,
    }),
  );
  const [take] = plan.takes;
  const shape = await buildShape(plan.shapes[take.shapes[0]]);
  return (frame: number) => ({
    ...takeScene(plan.takes[frame].shot, takeLooks(plan.takes[frame]), [shape]),
    width: FRAME,
    height: FRAME,
  });
}

const difference = (a: Float32Array, b: Float32Array) =>
  a.reduce((sum, v, i) => sum + Math.abs(v - b[i]), 0) / a.reduce((sum, v) => sum + v, 0);

describe('a band that turns before still lights', () => {
  it('looks as the turntable shows it, turned the one way or the other', async () => {
    const at = await turntable();
    const host = await kernel();
    const rest = at(0);
    host.load(rest);
    const { middle } = host;
    for (const frame of [3, 20]) {
      const angle = (2 * Math.PI * frame) / 24;
      const [truth] = film(host, at(frame), SAMPLES);
      const turned = turnedScene(rest, { angle, rise: 0 }, middle);
      const [whole] = film(host, turned, SAMPLES);
      // another turn is told apart by far
      const [other] = film(host, turnedScene(rest, { angle: -angle, rise: 0 }, middle), SAMPLES);
      expect(difference(whole, truth)).toBeLessThan(0.03);
      expect(difference(other, truth)).toBeGreaterThan(0.06);

      // laid over the loaded scene, with the light on the ground turned as it was measured
      host.load(rest);
      host.turn(turned, angle);
      const quick = new Float32Array(FRAME * FRAME * 3);
      host.render(0, 0, FRAME, FRAME, 0, SAMPLES, 1, quick);
      expect(
        difference(
          quick.map((v) => v / SAMPLES),
          truth,
        ),
      ).toBeLessThan(0.03);
    }
  });
});
