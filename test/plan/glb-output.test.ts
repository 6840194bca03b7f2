import { expect, it } from 'vitest';
import { config, planOf, problemsOf } from './workspace.ts';

const glb = (text: string) => config({ outputs: `outputs: { glb: ${text} }` });

it('outputs.glb takes true, false or a compression', async () => {
  const read = async (text: string) => {
    const { plan } = await planOf(glb(text));
    return [plan.glb, plan.glbCompression];
  };
  expect(await read('true')).toEqual([true, undefined]);
  expect(await read('false')).toEqual([false, undefined]);
  expect(await read('{ compression: meshopt }')).toEqual([true, undefined]);
  expect(await read('{ compression: draco }')).toEqual([true, 'draco']);
  expect((await problemsOf(glb('{ compression: zip }'))).map((p) => p.path)).toEqual([
    'outputs.glb.compression',
  ]);
});

it('outputs.glb.each and outputs.usdz ask for models of each band alone', async () => {
  const read = async (outputs: string) => {
    const { plan } = await planOf(config({ outputs: `outputs: ${outputs}` }));
    return [plan.glbEach ?? false, plan.usdz ?? false];
  };
  expect(await read('{}')).toEqual([false, false]);
  expect(await read('{ glb: { each: true } }')).toEqual([true, false]);
  expect(await read('{ glb: false, usdz: true }')).toEqual([false, true]);
  expect((await problemsOf(config({ outputs: 'outputs: { usdz: phones }' }))).map((p) => p.path)).toEqual([
    'outputs.usdz',
  ]);
});
