/** What programs of the card are told of a scene: with it they leave out what it has none of. */
import { expect, test } from 'vitest';
import { heldIn, traitsOf } from '../../pipeline/tracer/gpu/scene-traits.ts';
import { kernel } from '../tracer/kernel-fixture.ts';
import { COATED, GLOSS, plainScene, SCENES } from './scenes.ts';

type SceneName = keyof typeof SCENES;

const traitsIn = async (name: SceneName) => {
  const host = await kernel();
  host.load(SCENES[name]());
  return traitsOf(host.image());
};

const heldNames = async (name: SceneName) =>
  Object.entries((await traitsIn(name)).has).flatMap(([trait, held]) => (held ? [trait] : []));

test('traits are those of the scene', async () => {
  expect(await heldNames(GLOSS)).toEqual([
    'LENS',
    'ROUGH',
    'GRAIN',
    'RELIEF',
    'LINES',
    'DENTS',
    'CROSSED',
    'STONES',
    'DISPERSION',
  ]);
  expect(await heldNames(COATED)).toEqual([
    'PAPER',
    'RIM',
    'MIRRORS',
    'ROUGH',
    'GRAIN',
    'RELIEF',
    'CIRCLES',
    'BODIES',
    'PATTERNS',
  ]);
});

test('engines are compared on scenes with and without each trait', async () => {
  const held = await Promise.all((Object.keys(SCENES) as SceneName[]).map(heldNames));
  for (const trait of new Set(held.flat())) {
    const scenes = held.filter((traits) => traits.includes(trait)).length;
    expect(scenes, trait).toBeGreaterThan(0);
    expect(scenes, trait).toBeLessThan(held.length);
  }
  const { has } = await traitsIn('stones of six colours under a picture of the sky, on a sweep');
  expect(Object.keys(has).sort()).toEqual([...new Set(held.flat())].sort());
});

test('other colours and finishes over a loaded scene change its traits', async () => {
  const host = await kernel();
  const scene = plainScene();
  host.load(scene);
  const { scene: laid } = host.image();
  expect(heldIn(host.bytes, laid)).toMatchObject({ BODIES: false, ROUGH: false });
  const surfaces = scene.surfaces.map((s) => ({ ...s, alphaX: 0.2, alphaY: 0.2, coat: 1.5 }));
  host.recolour({ ...scene, surfaces });
  expect(heldIn(host.bytes, laid)).toMatchObject({ BODIES: true, ROUGH: true, MIRRORS: false });
});
