/**
 * Lets this process run TypeScript on Node 20; every way to start loads this file (`node --import`, or an import). What
 * is loaded is translated by `typescript-hooks.mjs`.
 */
import { register } from 'node:module';
import './optimiser.mjs';

// places in reports of faults are those of the TypeScript
process.setSourceMapsEnabled(true);
register('./typescript-hooks.mjs', import.meta.url);
