/** The band the bench traces: the demo's first three-quarter take, a two-tone band with 39 stones in a soft tent. */

import { takeLooks } from '../../pipeline/artefacts/film.ts';
import { takeScene } from '../../pipeline/artefacts/film-scene.ts';
import type { StoneSolid } from '../../pipeline/band/built-shape.ts';
import { subjectColours } from '../../pipeline/facts/looks.ts';
import type { Plan, TakePlan } from '../../pipeline/plan/plan.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import type { Colourway, TraceScene } from '../../pipeline/scene/trace-scene.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { ALLOYS } from '../../pipeline/trade/alloys.ts';

interface DemoBand {
  plan: Plan;
  take: TakePlan;
  scene: TraceScene;
  stone: StoneSolid;
}

let built: Promise<DemoBand> | undefined;

export function demoBand(): Promise<DemoBand> {
  built ??= build();
  return built;
}

async function build(): Promise<DemoBand> {
  const { plan } = await readPlan('test/bench/band.yaml');
  const take = plan.takes.find((t) => t.shot.view === 'three-quarter' && t.shapes.length === 1);
  if (!take) throw new Error('the demo has no three-quarter take');
  const shape = await buildShape(plan.shapes[take.shapes[0]]);
  return { plan, take, scene: takeScene(take.shot, takeLooks(take), [shape]), stone: shape.rows[0].stone };
}

/** The demo's scene, square, in as many colourways as asked for, the alloys going round. */
export async function demoScene(side: number, colourways?: number): Promise<TraceScene> {
  const { scene, take } = await demoBand();
  const [dress] = take.colourways[0].dresses;
  const alloys = [...ALLOYS.values()].filter((a) => !a.body && !a.layers).map(({ id }) => id);
  const dressed = (n: number): Colourway =>
    subjectColours({
      ...dress,
      alloys: dress.alloys.map((_, lane) => alloys[(n + 5 * lane) % alloys.length]),
    });
  return {
    ...scene,
    width: side,
    height: side,
    colourways:
      colourways === undefined ? scene.colourways : Array.from({ length: colourways }, (_, n) => dressed(n)),
  };
}
