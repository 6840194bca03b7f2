/**
 * Node 20 optimises functions after so little use that a short command spends a sixth of its processor time on that, and often
 * does it in vain. With eight times the use the demo's `plan` takes 1.1 s of processor time for 1.35, its `check` 1.9 for 2.3, the
 * suite's solids 125 for 136, and nothing that was measured is slower. Later Nodes count otherwise and know no such flag.
 */
import { setFlagsFromString } from 'node:v8';

if (process.version.startsWith('v20.')) setFlagsFromString('--interrupt-budget=540672');
