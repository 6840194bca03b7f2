import path from 'node:path';
import { describe, expect, it } from 'vitest';
import { originOf } from '../../pipeline/plan/band-source.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { config, inMemory, planOf, problemsOf } from './workspace.ts';

const TEMPLATE = `title: Trial
section: d
width: 5 mm
thickness: 2 mm
lanes: { a: { alloy: yellow-18 }, b: { alloy: white-18 } }
seams:
  mid: { kind: wave, at: 50 %, amplitude: 0.4 mm, waves: 4 }
`;

const sourcesOf = async (lines: Record<string, string>, own = true) => {
  const text = config({
    ...(own ? { template: 'template: ./own.yaml' } : {}),
    grid: 'grid: { size: [ISO 55] }',
    ...lines,
  });
  const files = inMemory({ 'config.yaml': text, 'own.yaml': TEMPLATE });
  const { sources } = await readPlan(path.resolve('/workspace/config.yaml'), files);
  const [source] = sources.values();
  return (keys: (string | number)[]) => {
    const { file, line, path: at, written } = originOf(source, keys);
    return [path.basename(file), line, at.join('.'), written];
  };
};

describe('where a value stands', () => {
  it('is the template of one’s own, or what lies over it', async () => {
    const at = await sourcesOf({ overrides: 'overrides: { seams: { mid: { at: 40 % } } }' });
    expect(at(['seams', 'mid', 'amplitude'])).toEqual(['own.yaml', 7, 'seams.mid.amplitude', true]);
    expect(at(['seams', 'mid', 'at'])).toEqual(['config.yaml', 8, 'overrides.seams.mid.at', true]);
    expect(at(['seams', 'mid', 'phase'])).toEqual(['own.yaml', 7, 'seams.mid.phase', false]);
  });

  it('is the value of an axis that changes it, and the grid’s own width', async () => {
    const at = await sourcesOf({
      grid: 'grid: { size: [ISO 55], width: [{ value: 5, label: wide }], swing: [{ label: High, slug: H, set: { seams: { mid: { amplitude: 0.6 mm } } } }] }',
    });
    expect(at(['seams', 'mid', 'amplitude'])).toEqual([
      'config.yaml',
      6,
      'grid.swing.0.set.seams.mid.amplitude',
      true,
    ]);
    expect(at(['width'])).toEqual(['config.yaml', 6, 'grid.width.0.value', true]);
  });

  it('is never a template that comes along', async () => {
    const at = await sourcesOf({}, false);
    expect(at(['seams', 'near', 'at'])).toEqual(['config.yaml', 1, 'overrides.seams.near.at', false]);
  });

  it('is with the kind that was chosen last, which leaves nothing of the one below', async () => {
    const at = await sourcesOf({
      grid: 'grid: { size: [ISO 55], run: [{ label: Level, slug: L, set: { seams: { mid: { kind: straight, at: 40 % } } } }] }',
    });
    expect(at(['seams', 'mid', 'at'])).toEqual(['config.yaml', 6, 'grid.run.0.set.seams.mid.at', true]);
    expect(at(['seams', 'mid', 'milgrain'])).toEqual([
      'config.yaml',
      6,
      'grid.run.0.set.seams.mid.milgrain',
      false,
    ]);
  });
});

describe('another kind by an axis', () => {
  it('of seam, section or setting takes the place of the one below', async () => {
    const grid =
      'grid: { size: [ISO 55], form: [{ label: Level, slug: L, set: { section: { name: flat }, seams: { near: { kind: straight, at: 1 mm }, far: { kind: drift, from: 60 %, to: 70 % } }, rows: { crest: { setting: { style: channel } } } } }, { label: As drawn, slug: W, set: {} }] }';
    const { plan } = await planOf(config({ grid }));
    const [level, wave] = plan.variants.map(({ shape }) => plan.shapes[shape]);
    expect(level.seams.map(({ kind }) => kind)).toEqual(['straight', 'drift']);
    expect(level.section).toMatchObject({ name: 'flat', domeMm: 0 });
    expect(level.rows[0].setting).toEqual({ style: 'channel', openingShare: 0.9 });
    expect(wave.seams.map(({ kind }) => kind)).toEqual(['wave', 'wave']);
    expect(wave.section.domeMm).toBe(0.3);
  });

  it('wants the keys of its own, and says so where it is written', async () => {
    const grid =
      'grid: { size: [ISO 55], form: [{ label: Level, slug: L, set: { seams: { near: { kind: straight } } } }] }';
    const [problem] = await problemsOf(config({ grid }));
    expect(problem).toMatchObject({ code: 'missing-key', path: 'seams.near.at' });
    expect(problem.place?.file).toMatch(/config\.yaml$/);
  });
});
