/**
 * Schemas of a command are used once, so that the parsers which zod would write and compile for each cost more than they
 * save: planning takes 0.9 of its processor time without them, and the first look at a catalogue of 3000 bands the same.
 */
import * as z from 'zod';

z.config({ jitless: true });
