/**
 * Writes the scenes on which engines are compared as blobs into a folder, for a machine that can't build bands:
 * `node --import ./pipeline/cli/typescript.mjs test/gpu/write-scenes.ts FOLDER [name …]`.
 */
import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { takeLooks } from '../../pipeline/artefacts/film.ts';
import { takeScene } from '../../pipeline/artefacts/film-scene.ts';
import type { TakePlan } from '../../pipeline/plan/plan.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import type { TraceScene } from '../../pipeline/scene/trace-scene.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { encodeScene } from '../../pipeline/tracer/scene-blob.ts';
import { demoScene } from '../bench/demo-band.ts';

interface Wanted {
  config: string;
  take(take: TakePlan): boolean;
  change?(scene: TraceScene): Partial<TraceScene>;
}

const shot = (name: string) => (take: TakePlan) => take.shot.name === name;
const finish = (name: string) => (take: TakePlan) => take.finishes[0][0] === name;
const optics = (name: string) => (take: TakePlan) => take.optics[0][0] === name;
const DEMO = 'configs/demo.yaml';
const LIGHTS = 'configs/contact/lights.yaml';

/** What each shows is its name. */
const SCENES: Record<string, Wanted> = {
  hero: { config: DEMO, take: shot('three-quarter') },
  'side-window': { config: LIGHTS, take: shot('side-window-white') },
  dusk: { config: LIGHTS, take: shot('dusk-white') },
  gloss: { config: LIGHTS, take: shot('pin-lights-gloss') },
  brushed: { config: 'configs/contact/metals.yaml', take: finish('brushed') },
  dents: { config: 'configs/contact/metals.yaml', take: finish('ice-matt') },
  dispersion: { config: 'configs/contact/stones.yaml', take: optics('moissanite') },
  absorption: { config: 'configs/contact/stones.yaml', take: optics('corundum') },
  clear: {
    config: DEMO,
    take: shot('pair'),
    change: (scene) => ({ ground: { ...scene.ground, kind: 'clear' } }),
  },
  lens: {
    config: DEMO,
    take: shot('flat-lay'),
    change: (scene) => ({ camera: { ...scene.camera, lensRadius: 3 } }),
  },
  macro: { config: 'configs/contact/stones.yaml', take: optics('diamond') },
  sixty: { config: 'test/gpu/bands/sixty.yaml', take: shot('three-quarter') },
  'sixty-macro': { config: 'test/gpu/bands/sixty.yaml', take: shot('macro') },
  inlaid: { config: 'test/gpu/bands/inlaid.yaml', take: () => true },
  sweep: {
    config: 'configs/overnight.yaml',
    take: finish('sandblasted'),
    change: (scene) => ({ ground: { ...scene.ground, kind: 'sweep' } }),
  },
};

const [folder, ...names] = process.argv.slice(2);
await mkdir(folder, { recursive: true });
// the bench's own
if (names.length === 0 || names.includes('band'))
  await writeFile(join(folder, 'band.bin'), encodeScene(await demoScene(1500)));
for (const [name, { config, take: fits, change }] of Object.entries(SCENES)) {
  if (names.length > 0 && !names.includes(name)) continue;
  const { plan } = await readPlan(config);
  const take = plan.takes.find(fits);
  if (!take) throw new Error(`${config} has no take for ${name}`);
  const shapes = await Promise.all(take.shapes.map((key) => buildShape(plan.shapes[key])));
  const whole = takeScene(take.shot, takeLooks(take), shapes);
  const scene = { ...whole, ...change?.(whole) };
  const bytes = encodeScene(scene);
  await writeFile(join(folder, `${name}.bin`), bytes);
  console.log(
    name,
    `${scene.width}×${scene.height}, ${scene.colourways.length} colourways, ${scene.mesh.indices.length / 3} triangles, ${scene.stones.length} stones, ${scene.surfaces.length} surfaces, ${scene.ground.kind}, lens ${scene.camera.lensRadius}, ${(bytes.length / 1e6).toFixed(1)} MB`,
  );
}
