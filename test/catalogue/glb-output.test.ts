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
