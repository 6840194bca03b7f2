import { resolve } from 'node:path';
import { clearStore } from '../run/clearing.ts';
import { waitWording } from '../run/make.ts';
import { EXIT } from './exit.ts';
import { watchInterrupts } from './interrupts.ts';
import { outputBeside } from './output-folder.ts';
import { bytes, type Streams } from './progress.ts';
import { byteCount, parseFlags } from './usage.ts';

const OPTIONS = {
  out: { type: 'string' },
  keep: { type: 'string' },
  wait: { type: 'boolean', default: false },
  json: { type: 'boolean', default: false },
} as const;

/** Clears the store down to a size. Exit 1 if what is in use is more than that. */
export async function gc(args: readonly string[], { out, err }: Streams): Promise<number> {
  const values = parseFlags(args, OPTIONS);
  const keep = byteCount('--keep', values.keep);
  const line = (text: string) => err.write(`${text}\n`);
  const interrupts = watchInterrupts(line);
  try {
    const { signal } = interrupts;
    const onWait = (holder?: Parameters<typeof waitWording>[0]) => line(waitWording(holder));
    const r = await clearStore(resolve(values.out ?? outputBeside(process.cwd())), {
      keep,
      wait: values.wait,
      signal,
      onWait,
    });
    if (values.json) out.write(`${JSON.stringify({ ...r, keep }, null, 2)}\n`);
    else {
      out.write(
        `store ${bytes(r.before)}, now ${bytes(r.after)}: ${r.removed} artefacts removed; ${bytes(r.used)} in use by catalogues\n`,
      );
      if (r.untold.length > 0)
        out.write(
          `Nothing was removed: what ${r.untold.join(', ')} uses is not on record. Make it once more, or delete its folder.\n`,
        );
      else if (r.after > keep) out.write(`What is in use is more than ${bytes(keep)}: it stays.\n`);
    }
    return r.after > keep ? EXIT.failed : EXIT.ok;
  } finally {
    interrupts.dispose();
  }
}
