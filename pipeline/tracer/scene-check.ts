import type { TraceScene } from '../scene/trace-scene.ts';
import { MAX_COLOURWAYS } from './kernel/layout.ts';

/** The kernel reads without bounds checks, so every index is checked here. @throws RangeError */
export function checkScene(scene: TraceScene): void {
  const fail = (what: string): never => {
    throw new RangeError(`trace scene: ${what}`);
  };
  const { mesh, surfaces, cuts, stones, gems, colourways } = scene;
  const vertices = mesh.positions.length / 3;
  const triangles = mesh.indices.length / 3;
  if (mesh.normals.length !== mesh.positions.length) fail('expected one normal a vertex');
  if (mesh.surface.length !== triangles) fail('expected one surface index a triangle');
  for (const i of mesh.indices) if (i >= vertices) fail(`vertex ${i} of ${vertices}`);
  for (const s of mesh.surface) if (s >= surfaces.length) fail(`surface ${s} of ${surfaces.length}`);
  if (colourways.length < 1 || colourways.length > MAX_COLOURWAYS) {
    fail(`expected 1 to ${MAX_COLOURWAYS} colourways but received ${colourways.length}`);
  }
  const metals = colourways[0].metals.length;
  for (const c of colourways) {
    if (c.metals.length !== metals) fail('expected the same number of metals in every colourway');
    if (c.gems.length !== gems.length) fail('expected a colour for every gem in every colourway');
  }
  for (const s of surfaces) {
    if (!(s.metal < metals)) fail(`metal ${s.metal} of ${metals}`);
    for (const c of colourways)
      if ('tones' in c.metals[s.metal] !== (s.coat !== undefined))
        fail('expected tones for a body under a coat');
    const other = s.pattern?.other ?? 0;
    if (!(other < surfaces.length)) fail(`surface ${other} of ${surfaces.length}`);
  }
  for (const s of stones) {
    if (!(s.cut < cuts.length)) fail(`cut ${s.cut} of ${cuts.length}`);
    if (!(s.gem < gems.length)) fail(`gem ${s.gem} of ${gems.length}`);
  }
  if (scene.dome.length < 3 || scene.dome.length % 3 !== 0) fail('expected RGB triples in the dome');
}
