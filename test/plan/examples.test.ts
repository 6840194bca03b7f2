import { readdir, readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import * as z from 'zod';
import { jsonSchemas, schemaText } from '../../pipeline/plan/json-schemas.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { ALLOYS } from '../../pipeline/trade/alloys.ts';
import { FINISHES } from '../../pipeline/trade/finishes.ts';
import { config, planOf as configPlan } from './workspace.ts';

const root = new URL('../../', import.meta.url);
const text = (file: string) => readFile(new URL(file, root), 'utf8');
const planOf = (file: string) => readPlan(fileURLToPath(new URL(file, root)));

describe('files that come along', () => {
  it.each([
    ['configs/config.schema.json', 'config'],
    ['templates/template.schema.json', 'template'],
    ['templates/studios/studio.schema.json', 'studio'],
  ] as const)('%s is what the schema generates (npm run schemas)', async (file, which) => {
    expect(await text(file)).toBe(schemaText(jsonSchemas()[which]));
  });

  it('the JSON Schemas take every file that comes along and refuse slips in overrides', async () => {
    const read = async (file: string) => parse(await text(file)) as Record<string, unknown>;
    const takes = async (schema: string, value: unknown) =>
      z.fromJSONSchema(JSON.parse(await text(schema))).safeParse(value).success;
    for (const name of ['demo', 'overnight', 'swatches', 'engraved-pair'])
      expect(await takes('configs/config.schema.json', await read(`configs/${name}.yaml`)), name).toBe(true);
    for (const name of [
      'tideline',
      'plain-court',
      'two-tone-straight',
      'hammered-court',
      'square-half',
      'beaded-vow',
      'half-channel',
      'grain-wave',
      'vow-line',
    ])
      expect(await takes('templates/template.schema.json', await read(`templates/${name}.yaml`)), name).toBe(
        true,
      );
    const demo = await read('configs/demo.yaml');
    const right = { ...demo, overrides: { lanes: { light: { finish: 'satin' } } } };
    const slip = { ...demo, overrides: { lanes: { light: { finsh: 'satin' } } } };
    expect(await takes('configs/config.schema.json', right)).toBe(true);
    expect(await takes('configs/config.schema.json', slip)).toBe(false);
  });

  it('every YAML file names its schema for editors', async () => {
    for (const [folder, schema] of [
      ['configs', './config.schema.json'],
      ['templates', './template.schema.json'],
      ['templates/studios', './studio.schema.json'],
    ])
      for (const name of (await readdir(new URL(`${folder}/`, root))).filter((f) => f.endsWith('.yaml')))
        expect(await text(`${folder}/${name}`)).toMatch(`# yaml-language-server: $schema=${schema}\n`);
  });

  it('every template makes a plan', async () => {
    for (const name of await readdir(new URL('templates/', root))) {
      const template = /^(.+)\.yaml$/.exec(name)?.[1];
      if (!template) continue;
      const grid = 'grid: { size: [ISO 55] }';
      const { plan } = await configPlan(config({ template: `template: ${template}`, grid }));
      expect(plan.variants, template).toHaveLength(1);
    }
  });

  it('demo: two sizes with stones, four colourways, a coloured stone, pairs whose partner has its own', async () => {
    const { plan, warnings } = await planOf('configs/demo.yaml');
    expect(warnings).toEqual([]);
    const sizes = new Set(Object.values(plan.shapes).map((s) => s.circumferenceMm));
    expect(sizes.size).toBe(2);
    expect(new Set(plan.variants.map((v) => v.axes.metal)).size).toBe(4);
    expect(plan.variants.some((v) => v.dress.stones.includes('sapphire-blue'))).toBe(true);
    expect(plan.pairs).toHaveLength(4);
    for (const { right } of plan.pairs) expect(right.dress.stones.length).toBeGreaterThan(0);
    expect(plan.shots.map((s) => s.view)).toContain('pair');
    expect(plan.watermark?.image).toMatch(/mark\.svg$/);
    expect(Object.values(plan.shapes).some((s) => s.seams.some((x) => x.kind === 'drift'))).toBe(true);
  });

  it('overnight: a large grid with pairs', async () => {
    const { plan, warnings } = await planOf('configs/overnight.yaml');
    expect(warnings).toEqual([]);
    expect(plan.variants.length).toBeGreaterThan(150);
    expect(plan.pairs.length).toBeGreaterThan(0);
  });

  it('swatches: every metal and finish, one take a finish; hammering is a shape of its own', async () => {
    const { plan, warnings } = await planOf('configs/swatches.yaml');
    expect(warnings).toEqual([]);
    const finishes = FINISHES.size + 1;
    const metals = [...ALLOYS.values()].filter(({ body, layers }) => !body && !layers).map(({ id }) => id);
    expect(Object.keys(plan.shapes)).toHaveLength(2);
    expect(plan.variants).toHaveLength(metals.length * finishes);
    expect(new Set(plan.variants.flatMap((v) => v.dress.alloys))).toEqual(new Set(metals));
    expect(plan.takes).toHaveLength(finishes);
  });

  it('every studio that comes along lights a shot, takes its JSON Schema, and is one that editors propose', async () => {
    const names = (await readdir(new URL('templates/studios/', root))).flatMap(
      (f) => /^(.+)\.yaml$/.exec(f)?.[1] ?? [],
    );
    expect(names.length).toBeGreaterThanOrEqual(5);
    const schema = z.fromJSONSchema(JSON.parse(await text('templates/studios/studio.schema.json')));
    for (const name of names) {
      expect(schema.safeParse(parse(await text(`templates/studios/${name}.yaml`))).success, name).toBe(true);
      const { plan } = await configPlan(config({ lights: `lights: ${name}` }));
      expect(plan.shots[0].studio.panels.length, name).toBeGreaterThan(2);
      expect(plan.files.some((f) => f.endsWith(`studios/${name}.yaml`))).toBe(true);
    }
    const proposed = /"examples": \[([^\]]*)\]/.exec(await text('configs/config.schema.json'))?.[1] ?? '';
    expect([...proposed.matchAll(/"([^"]+)"/g)].map((m) => m[1]).sort()).toEqual(names.sort());
  });
});
