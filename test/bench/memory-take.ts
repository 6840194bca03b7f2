/** The take whose memory is measured: `memory-take.ts SIDE COLOURWAYS`. Few passes: memory does not grow with them. */
import { createTracerSession } from '../../pipeline/tracer/session.ts';
import { demoScene } from './demo-band.ts';

const [side, colourways] = process.argv.slice(2).map(Number);
const session = await createTracerSession();
try {
  await session.trace(await demoScene(side, colourways), { seed: 1, noiseTarget: 0, passCap: 4 });
} finally {
  await session.close();
}
