import {
  cpSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { HELP } from '../../pipeline/cli/usage.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';

const ROOT = resolve(import.meta.dirname, '../..');
const README = readFileSync(join(ROOT, 'README.md'), 'utf8');
const examples = [...README.matchAll(/```yaml\n([\s\S]*?)```/g)].map((m) => m[1]);
const marks = examples.find((text) => text.startsWith('engraving:')) ?? '';
const [config, template, section, squares, mixed, studio] = examples.filter((text) => text !== marks);

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'bandwright-readme-'));
  mkdirSync(join(folder, 'configs'));
  cpSync(join(ROOT, 'templates'), join(folder, 'templates'), { recursive: true });
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('README', () => {
  it('shows a config that can be used and comes to what it says', async () => {
    const file = join(folder, 'configs/example.yaml');
    writeFileSync(file, config);
    const { plan, warnings } = await readPlan(file);
    expect(warnings).toEqual([]);
    // 3 sizes × 2 widths × 2 metals × 2 stones × 2 shores, less UK N½ with ruby (2 × 2 × 2)
    expect(plan.variants).toHaveLength(48 - 8);
    expect(plan.pairs).toHaveLength(2);
    expect(plan.variants[0].sku).toBe('HL-ISO52-5-Y18-LGD-S');
    for (const design of Object.values(plan.shapes).slice(0, 1))
      expect((await buildShape(design)).rows[0].count).toBeGreaterThan(30);
  });

  it('shows a template that can be built', async () => {
    writeFileSync(join(folder, 'templates/example.yaml'), template);
    const file = join(folder, 'configs/of-template.yaml');
    writeFileSync(
      file,
      'catalogue: x\ntitle: X\nworkshop: X\ntemplate: ../templates/example.yaml\ngrid: { size: [ISO 54] }\nshots: [front]\nsku: "X-{size}"\n',
    );
    const { plan } = await readPlan(file);
    const shape = await buildShape(Object.values(plan.shapes)[0]);
    expect(shape.lanes.map((l) => l.name)).toEqual(['near-rail', 'inlay', 'far-rail']);
  });

  it('shows a section, a step and a taper that can be built', async () => {
    writeFileSync(
      join(folder, 'templates/section.yaml'),
      `title: X\nwidth: 7 mm\nthickness: 2.2 mm\nlanes: { band: { alloy: yellow-18 } }\n${section}`,
    );
    const file = join(folder, 'configs/of-section.yaml');
    writeFileSync(
      file,
      'catalogue: x\ntitle: X\nworkshop: X\ntemplate: ../templates/section.yaml\ngrid: { size: [ISO 54] }\nshots: [front]\nsku: "X-{size}"\n',
    );
    const { plan } = await readPlan(file);
    const shape = await buildShape(Object.values(plan.shapes)[0]);
    expect(shape.back).toEqual({ widthMm: expect.closeTo(4.55, 12), thicknessMm: 1.7 });
  });

  it('shows a studio that lights a shot, and names every studio that comes along', async () => {
    writeFileSync(join(folder, 'configs/studio.yaml'), studio);
    const file = join(folder, 'configs/of-studio.yaml');
    writeFileSync(
      file,
      'catalogue: x\ntitle: X\nworkshop: X\ntemplate: plain-court\ngrid: { size: [ISO 54], metal: [yellow-18] }\nshots: [front]\nlights: ./studio.yaml\n',
    );
    const { plan } = await readPlan(file);
    expect(plan.shots[0].studio.panels).toHaveLength(10);
    for (const name of readdirSync(join(ROOT, 'templates/studios')).filter((f) => f.endsWith('.yaml')))
      expect(README).toContain(`| \`${name.slice(0, -5)}\` |`);
  });

  it('shows a row of squares that can be set', async () => {
    const file = join(folder, 'configs/squares.yaml');
    const indented = squares.replaceAll('\n', '\n  ');
    writeFileSync(
      file,
      `catalogue: x\ntitle: X\nworkshop: X\ntemplate: plain-court\noverrides:\n  width: 4.5 mm\n  ${indented}\norigins: { diamond: natural }\ngrid: { size: [ISO 54], stone: [diamond] }\nshots: [front]\nsku: "X-{size}"\n`,
    );
    const { plan } = await readPlan(file);
    const shape = await buildShape(Object.values(plan.shapes)[0]);
    expect(shape.rows[0].stone.cut).toBe('princess');
    expect(shape.rows[0].count).toBeGreaterThan(20);
  });

  it('shows letters, beads and a groove that can be made', async () => {
    const file = join(folder, 'configs/marks.yaml');
    const indented = marks.replaceAll('\n', '\n  ');
    writeFileSync(
      file,
      `catalogue: x\ntitle: X\nworkshop: X\ntemplate: two-tone-straight\noverrides:\n  lanes: { inlay: { recess: 0 mm } }\n  ${indented}\ngrid: { size: [ISO 54] }\nshots: [inside]\nsku: "X-{size}"\n`,
    );
    const { plan } = await readPlan(file);
    const shape = await buildShape(Object.values(plan.shapes)[0]);
    expect(shape.marks?.engravings.map((e) => e.text)).toEqual(['Mara & Jon · 12.06.2026', 'ALWAYS']);
    expect(shape.marks?.milgrain.map((m) => m.along)).toEqual(['near', 'edge', 'edge']);
    expect(shape.marks?.grooves).toHaveLength(1);
    expect(shape.checks.filter((c) => !c.passed && c.severity === 'error')).toEqual([]);
  });

  it('names every command, and its pictures are there and small', () => {
    for (const command of ['plan', 'make', 'check', 'size', 'doctor']) {
      expect(README).toContain(`bandwright -- ${command}`);
      expect(HELP).toContain(`bandwright ${command}`);
    }
    const pictures = [...README.matchAll(/\]\((configs\/demo\/pictures\/[^)]+)\)/g)].map((m) => m[1]);
    expect(pictures.length).toBeGreaterThan(0);
    for (const p of pictures) expect(statSync(join(ROOT, p)).size).toBeLessThan(300_000);
  });

  it('shows a row of unequal stones that can be built, each with its colour', async () => {
    const file = join(folder, 'configs/mixed.yaml');
    const head =
      'catalogue: x\ntitle: X\nworkshop: X\ntemplate: tideline\norigins: { diamond: natural, sapphire-blue: natural, ruby: natural }\ntreatments: { sapphire-blue: heated, ruby: heated }\ngrid: { size: [ISO 54] }\nshots: [front]\nsku: "X-{size}"\n';
    const overrides = mixed.replace(/^/gm, '  ');
    writeFileSync(
      file,
      `${head}overrides:\n  width: 6 mm\n  thickness: 2.2 mm\n  seams: { near: { at: 50 % - 1.6 mm }, far: { at: 50 % + 1.6 mm } }\n${overrides}`,
    );
    const { plan } = await readPlan(file);
    expect(plan.variants[0].dress.stones).toEqual(['diamond', 'sapphire-blue', 'ruby']);
    const shape = await buildShape(plan.shapes[plan.variants[0].shape]);
    expect(new Set(shape.rows.map(({ slot }) => slot))).toEqual(new Set([0, 1, 2]));
  });
});
