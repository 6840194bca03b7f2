/**
 * The take whose memory is measured: `memory-take.ts SIDE COLOURWAYS`. Few passes: memory does not grow with them. Films and
 * a checkpoint go to disk as a run's do.
 */

import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { takeCheckpoints } from '../../pipeline/artefacts/take-checkpoints.ts';
import { ArtefactStore } from '../../pipeline/store/artefact-store.ts';
import { artefactKey } from '../../pipeline/store/content-key.ts';
import { encodeFilm } from '../../pipeline/tracer/film-file.ts';
import { createTracerSession } from '../../pipeline/tracer/session.ts';
import { demoScene } from './demo-band.ts';

const [side, colourways] = process.argv.slice(2).map(Number);
const session = await createTracerSession();
const folder = await mkdtemp(join(tmpdir(), 'bandwright-memory-'));
const store = new ArtefactStore(folder);
try {
  await session.trace(await demoScene(side, colourways), {
    seed: 1,
    noiseTarget: 0,
    passCap: 4,
    checkpoints: takeCheckpoints(folder, 'checkpoint', 0.001),
    onFilm: (film, plane) => store.put('film', artefactKey(plane), encodeFilm(film)),
  });
} finally {
  await session.close();
  await rm(folder, { recursive: true });
}
