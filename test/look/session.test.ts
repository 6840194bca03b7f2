import { writeFile } from 'node:fs/promises';
import path from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { LookSession } from '../../pipeline/look/session.ts';
import { decodeSolids } from '../../pipeline/look/solids-blob.ts';
import { openSource } from '../../pipeline/look/source.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { type Looked, lookAt, PLAIN } from './look-config.ts';

let looked: Looked | undefined;
afterEach(async () => {
  await looked?.close();
  looked = undefined;
});

const open = async (text: string) => {
  looked = await lookAt(text);
  return looked;
};
const first = (l: Looked) => ({ sku: l.session.state.bands[0].sku, shot: 'three-quarter' });

describe('a session of the live view', () => {
  it('tells of a saved text, also where an editor gives another file the name of the old one', async () => {
    const l = await open(PLAIN);
    expect(l.session.state).toMatchObject({ version: 1, problems: [] });
    await writeFile(l.file, PLAIN.replace('Trial bands', 'Other bands'));
    // a slow machine may see it half-written first, and tell that
    const { version } = await l.until((s) => s.title === 'Other bands');
    expect(version).toBeGreaterThan(1);
    await l.save(PLAIN.replace('Trial bands', 'Third bands'));
    await l.until((s) => s.title === 'Third bands');
  });

  it('tells at once that a file is being saved, and takes it back where nothing has changed', async () => {
    const l = await open(PLAIN);
    const told: (boolean | string)[] = [];
    let calm = () => {};
    const calmed = new Promise<void>((resolve) => {
      calm = resolve;
    });
    l.session.onStir((stirred) => {
      told.push(stirred);
      if (!stirred) calm();
    });
    l.session.onChange(({ title }) => told.push(title));
    await l.save(PLAIN);
    await calmed;
    expect(told).toEqual([true, false]);
    await l.save(PLAIN.replace('Trial bands', 'Other bands'));
    await l.until((s) => s.title === 'Other bands');
    expect(told.slice(2, 4)).toEqual([true, 'Other bands']);
  });

  it('reads on after a text that an editor wrote in two steps', async () => {
    const l = await open(PLAIN);
    for (const title of ['Second bands', 'Third bands', 'Fourth bands']) {
      await writeFile(l.file, '');
      // as long as it takes until it is noticed, and no longer than an editor that writes in steps
      await new Promise((resolve) => setTimeout(resolve, 30));
      await writeFile(l.file, PLAIN.replace('Trial bands', title));
      await l.until((s) => s.title === title);
    }
  });

  it('tells a mistake by line and column over the last good bands, which stay', async () => {
    const l = await open(PLAIN);
    const view = await l.session.view(first(l));
    await l.save(PLAIN.replace('shots: [three-quarter]', 'shots: [three-quarters]'));
    const state = await l.until((s) => s.problems.length > 0);
    expect(state.problems[0].place).toMatchObject({ file: l.file, line: 7, column: 9 });
    expect(state.bands).toHaveLength(4);
    expect((await l.session.view(first(l)))?.shapes).toEqual(view?.shapes);
    await l.save(PLAIN);
    expect((await l.until((s) => s.problems.length === 0)).version).toBe(3);
  });

  it('builds anew only what an edit reaches: other colours have the same solids', async () => {
    const l = await open(PLAIN);
    const before = await l.session.view(first(l));
    await l.save(PLAIN.replace('[yellow-18, white-18]', '[rose-18, white-18]'));
    await l.until((s) => s.version === 2);
    const after = await l.session.view(first(l));
    expect(after?.shapes).toEqual(before?.shapes);
    expect(after?.looks.colours).not.toEqual(before?.looks.colours);
    const again = [l.session.solids(before!.shapes[0], false), l.session.solids(before!.shapes[0], false)];
    const [a, b] = await Promise.all(again);
    expect(a).toBe(b);
    expect(decodeSolids(a!.blob.slice().buffer).widthMm).toBe(4);
  });

  it('says why a shape cannot be built', async () => {
    const l = await open(
      PLAIN.replace('plain-court', 'tideline')
        .replace(
          'overrides: {',
          'origins: { diamond: natural }\noverrides: { rows: { crest: { diameter: 3 mm } },',
        )
        .replace('width: [4 mm, 5 mm], ', ''),
    );
    const view = await l.session.view(first(l));
    await expect(l.session.solids(view!.shapes[0], true)).rejects.toBeInstanceOf(ProblemError);
  });

  it('shows what make traces, any other view of it, and another light', async () => {
    const l = await open(PLAIN);
    const { sku } = first(l);
    expect(await l.session.view({ sku, shot: 'three-quarter' })).toMatchObject({
      asMade: true,
      colourway: 0,
    });
    expect(await l.session.view({ sku, shot: 'macro' })).toMatchObject({ asMade: false });
    const lit = await l.session.view({ sku, shot: 'three-quarter', studio: 'pin-lights' });
    expect(lit).toMatchObject({ asMade: false, shot: { lights: 'pin-lights' } });
    expect(await l.session.view({ sku, shot: 'nothing' })).toBeUndefined();
  });

  it('looks at a template alone, by the name of one that comes along', async () => {
    const session = await LookSession.open(await openSource('vow-line'), { readOnly: true });
    try {
      expect(session.state.problems).toEqual([]);
      expect(session.state.bands).toHaveLength(1);
      expect(session.state.files.map(({ file }) => path.basename(file))).toContain('vow-line.yaml');
      expect(session.state.files.map(({ file }) => path.basename(file))).not.toContain('.vow-line.yaml.look');
    } finally {
      await session.close();
    }
  });
});
