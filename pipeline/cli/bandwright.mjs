#!/usr/bin/env node
/** The command: sets up what is missing, then hands over to main.ts as `program.mjs` has bundled it. */
import './optimiser.mjs';
import { setUp } from './setup.mjs';
import { tellSourcePlaces } from './source-places.mjs';

try {
  await setUp();
} catch (error) {
  console.error(error.message);
  process.exit(1);
}
// npm runs scripts in the clone's folder, but paths are meant from where the command was given
if (process.env.npm_lifecycle_event === 'bandwright' && process.env.INIT_CWD)
  process.chdir(process.env.INIT_CWD);
tellSourcePlaces();
const { program } = await import('./program.mjs');
const { main } = await import(await program());
process.exitCode = await main(process.argv.slice(2));
