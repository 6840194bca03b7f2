import { kernel } from '../tracer/kernel-fixture.ts';
import { cleanReference } from './clean-error.ts';
import { cleanScene } from './clean-scenes.ts';

const host = await kernel();
for (const n of process.argv[2].split(',')) {
  const s = await cleanScene(n, host);
  cleanReference(s, host, Number(process.argv[3]), (l) => console.log(l, performance.now()));
}
