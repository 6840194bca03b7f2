import { Document } from '@gltf-transform/core';
import { expect, it } from 'vitest';
import { takeLooks } from '../../pipeline/artefacts/film.ts';
import { colourwayLook } from '../../pipeline/facts/looks.ts';
import { createMaterials } from '../../pipeline/model/materials.ts';
import { config, planOf, problemsOf } from './workspace.ts';

const plain = (overrides: string, metals: string) =>
  config({
    template: 'template: plain-court',
    overrides: `overrides: ${overrides}`,
    grid: `grid: { size: [ISO 54], metal: [${metals}] }`,
    shots: 'shots: [front]',
  });

it('what decides paths parts takes: colours of one body share theirs, metal and layers have their own', async () => {
  const { plan } = await planOf(
    plain('{}', 'yellow-18, platinum-950, enamel-blue, enamel-white, ceramic-white, mokume-rose-white'),
  );
  expect(plan.takes.map(({ colourways }) => colourways.length)).toEqual([2, 2, 1, 1]);
  const [metal, enamel, ceramic, layered] = plan.takes;
  // takes of metal alone have nothing new in them: their films keep their keys
  expect(metal).not.toHaveProperty('matters');
  expect(metal.colourways[0].dresses[0]).not.toHaveProperty('patterns');
  expect(enamel.matters).toEqual([[{ coat: 1.52 }]]);
  expect(ceramic.matters).toEqual([[{ coat: 2.16 }]]);
  expect(layered.matters?.[0][0]).toMatchObject({ layers: { kind: 'layers', share: 0.5 } });
  expect(takeLooks(layered).colours[0][0].metals).toHaveLength(2);
});

it('settings of layers and grain reach the lane, and are refused with their limits', async () => {
  const { plan } = await planOf(
    plain(
      '{ lanes: { band: { layers: { stack: 0.3 mm, turns: 7, bar: 2 mm, seed: 5 }, grain: { fibre: round, ring: 2 mm } } } }',
      'damask-steel, wood-oak',
    ),
  );
  const [steel, oak] = plan.takes.map((take) => take.matters?.[0][0]);
  expect(steel).toMatchObject({ layers: { stackMm: 0.3, turns: 7, barMm: 2, seed: 5 } });
  expect(oak).toMatchObject({ coat: 1.5, grain: { round: true, ringMm: 2 } });
  const [wrong] = await problemsOf(plain('{ lanes: { band: { layers: { turns: 61 } } } }', 'damask-steel'));
  expect(`${wrong.path} ${wrong.expected}`).toMatch(/lanes.band.layers.turns .*60/);
});

it('models wear a body as a coat over a colour, and layers in the mean of their metals', () => {
  const look = colourwayLook('one', {
    alloys: ['enamel-red', 'mokume-rose-white', 'yellow-18'],
    finishes: ['polished', 'satin', 'polished'],
    stones: [],
  });
  const materials = createMaterials(new Document());
  const [enamel, layered, gold] = look.alloys.map((alloy, i) => materials.metal(alloy, look.finishes[i]));
  expect(enamel.getMetallicFactor()).toBe(0);
  expect(enamel.getExtension('KHR_materials_ior')).toMatchObject({});
  // red, without the gloss that the viewer adds: Fresnel's 0.0426 of an index of 1.52
  const [r, g] = enamel.getBaseColorFactor();
  expect(r).toBeGreaterThan(5 * g);
  expect(r).toBeCloseTo((look.alloys[0].f0[0] - 0.0426) / (1 - 0.0426), 3);
  for (const metal of [layered, gold]) expect(metal.getMetallicFactor()).toBe(1);
});
