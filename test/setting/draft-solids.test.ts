import { describe, expect, it } from 'vitest';
import { buildLanes } from '../../pipeline/band/build-lanes.ts';
import type { LaneSolid } from '../../pipeline/band/built-shape.ts';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import { buildSolids } from '../../pipeline/setting/build-solids.ts';
import { draftSolids } from '../../pipeline/setting/draft-solids.ts';
import type { LaneShelf } from '../../pipeline/setting/lane-shelf.ts';
import { config, planOf } from '../plan/workspace.ts';

class CountingShelf implements LaneShelf {
  readonly lanes = new Map<string, LaneSolid>();
  found = 0;
  get(key: string): LaneSolid | undefined {
    const lane = this.lanes.get(key);
    if (lane) this.found++;
    return lane;
  }
  put(key: string, lane: LaneSolid): void {
    this.lanes.set(key, lane);
  }
}

/** With a few stones at the top. @param row of these stones @param more of the band */
async function tideline({ row = '', more = '' } = {}): Promise<ShapeDesign> {
  const crest = `rows: { crest: { coverage: 60 deg, ${row} } }`;
  const { plan } = await planOf(
    config({ overrides: `overrides: { chord-tolerance: 0.1 mm, ${crest}, ${more} }` }),
  );
  return Object.values(plan.shapes)[0];
}

describe('solids while they are shaped', () => {
  it('are the same bits from a shelf, which serves the lanes that an edit does not reach', async () => {
    const shelf = new CountingShelf();
    const fresh = await buildSolids(await tideline({ more: 'section: { edge: 0.3 mm }' }));
    await buildSolids(await tideline(), undefined, shelf);
    expect(shelf.lanes.size).toBe(1);
    const edited = await buildSolids(await tideline({ more: 'section: { edge: 0.3 mm }' }), undefined, shelf);
    expect(shelf.found).toBe(1);
    expect(edited.solids).toEqual(fresh.solids);
  });

  it('are cut anew where rows, seams or the tolerance change', async () => {
    const shelf = new CountingShelf();
    await buildSolids(await tideline(), undefined, shelf);
    for (const edit of [
      { row: 'set-depth: 0.12 mm' },
      { more: 'seams: { near: { phase: 10 deg }, far: { phase: 10 deg } }' },
    ])
      await buildSolids(await tideline(edit), undefined, shelf);
    expect(shelf.found).toBe(0);
  });

  it('as a draft have all stones and measures, and say that they are not whole', async () => {
    const design = await tideline();
    const draft = await draftSolids(design);
    const { solids } = await buildSolids(design);
    expect(draft.whole).toBe(false);
    expect(draft.solids.rows).toEqual(solids.rows);
    expect(draft.solids.thicknessMm).toBe(solids.thicknessMm);
  });

  it('as a draft are swept in longer chords', async () => {
    const design = { ...(await tideline()), chordToleranceMm: 0.01 };
    const { solids } = await draftSolids(design);
    const [shore] = buildLanes(design);
    expect(solids.lanes[0].mesh.indices.length).toBeLessThan(0.7 * shore.mesh.indices.length);
    // chords 0.03 mm off the surface of a lane some 1.5 mm thick
    expect(Math.abs(solids.lanes[0].volumeMm3 / meshVolume(shore.mesh) - 1)).toBeLessThan(0.02);
  });

  it('are whole at once where nothing is cut', async () => {
    const design = { ...(await tideline()), rows: [] };
    const draft = await draftSolids(design);
    expect(draft.whole).toBe(true);
    expect(draft.solids).toEqual((await buildSolids(design)).solids);
  });
});
