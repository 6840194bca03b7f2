#!/usr/bin/env node
/** The command of an installed package, where nothing has to be set up. */
import './optimiser.mjs';
import { main } from './main.ts';

process.exitCode = await main(process.argv.slice(2));
