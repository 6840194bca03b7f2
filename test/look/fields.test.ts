import { readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { fieldsOf } from '../../pipeline/look/fields.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { localeOf } from '../../pipeline/words/locale.ts';
import { config, inMemory } from '../plan/workspace.ts';

async function sourceOf(template: string, overrides = '{}') {
  const text = config({
    template: `template: ${template}`,
    grid: 'grid: { size: [ISO 55] }',
    overrides: `overrides: ${overrides}`,
  });
  const { sources } = await readPlan('/workspace/config.yaml', inMemory({ 'config.yaml': text }));
  return [...sources.values()][0];
}

describe('fields of a band', () => {
  it('have units and limits of the schema, and where they stand', async () => {
    const fields = fieldsOf(
      await sourceOf('tideline', '{ rows: { crest: { hole: 55 % } } }'),
      localeOf('en'),
    );
    const of = (id: string) => fields.find((f) => f.id === id);
    expect(of('rows.crest.hole')).toMatchObject({
      text: '55 %',
      unit: '%',
      least: 0,
      most: 95,
      written: true,
      group: 'Row crest',
      label: 'Hole',
    });
    expect(of('rows.crest.hole')?.origin.file).toMatch(/config\.yaml$/);
    expect(of('thickness')).toMatchObject({
      text: '1.9 mm',
      unit: 'mm',
      least: 0.6,
      most: 6,
      written: false,
    });
    expect(of('seams.near.waves')).toMatchObject({ kind: 'number', least: 1, most: 60, text: '6' });
    expect(of('rows.crest.lane')?.choices?.map(({ value }) => value)).toEqual([
      'near-shore',
      'tide',
      'far-shore',
    ]);
    expect(of('rows.crest.count')).toMatchObject({
      text: 'fit',
      choices: [{ value: 'fit', label: 'as many as fit' }],
    });
    // a court has a dome; no flat section has
    expect(of('section.dome')).toBeDefined();
    const flat = fieldsOf(await sourceOf('tideline', '{ section: { name: flat } }'), localeOf('en'));
    expect(flat.map(({ id }) => id)).not.toContain('section.dome');
  });

  it('are named in both languages, every one of every template', async () => {
    const templates = readdirSync('templates').flatMap((f) => /^(.+)\.yaml$/.exec(f)?.[1] ?? []);
    const everything =
      '{ section: { name: bevelled, bevel: { width: 1 mm }, step: { width: 0.5 mm, depth: 0.2 mm } }, taper: { width: 4 mm, thickness: 1.5 mm }, edges: { milgrain: { bead: 0.3 mm } } }';
    const sources = [
      ...(await Promise.all(templates.map((t) => sourceOf(t)))),
      await sourceOf('plain-court', everything),
    ];
    for (const source of sources) {
      const [english, german] = (['en', 'de'] as const).map((language) =>
        fieldsOf(source, localeOf(language)),
      );
      for (const [i, { id, label, choices }] of english.entries()) {
        const key = id
          .split('.')
          .filter((k) => !/^\d+$/.test(k))
          .at(-1);
        expect(label, id).not.toBe(key);
        expect(german[i].label, id).not.toBe(key);
        for (const choice of choices ?? []) expect(choice.label, `${id} ${choice.value}`).not.toBe('');
      }
    }
  });
});
