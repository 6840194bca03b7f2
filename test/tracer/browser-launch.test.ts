import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { launchInTime, SilentBrowser } from '../../pipeline/tracer/browser-launch.ts';

/**
 * Answers over its pipe as browsers do (Chrome DevTools Protocol), tells of its first tab and is killed before it has told
 * of the page in it.
 */
const DYING = `
const { createReadStream, writeFileSync, writeSync } = require('node:fs');
const say = (message) => writeSync(4, JSON.stringify(message) + '\0');
const tab = { targetId: 'tab', type: 'tab', title: '', url: 'about:blank', attached: true, canAccessOpener: false };
let heard = '';
createReadStream('', { fd: 3, encoding: 'utf8' }).on('data', (text) => {
  const asked = (heard + text).split('\0');
  heard = asked.pop();
  for (const { id, method, sessionId } of asked.map((one) => JSON.parse(one))) {
    // what is asked of the tab is asked once it has been told of
    if (sessionId) {
      writeFileSync(__filename + '.died', '');
      process.kill(process.pid, 'SIGKILL');
    }
    if (method === 'Target.setAutoAttach')
      say({ method: 'Target.attachedToTarget', params: { sessionId: 'tab', targetInfo: tab, waitingForDebugger: true } });
    say({ id, result: {} });
  }
});`;

it.skipIf(process.platform === 'win32')(
  'a browser that is killed between its first tab and the page in it is not waited for',
  async () => {
    const folder = mkdtempSync(join(tmpdir(), 'bandwright-launch-'));
    const [path, script] = [join(folder, 'chrome'), join(folder, 'dying.cjs')];
    writeFileSync(script, DYING);
    writeFileSync(path, `#!/bin/sh\nexec "${process.execPath}" "${script}"\n`, { mode: 0o755 });
    // on a slow machine it may be too late before it has come so far
    for (let ms = 500; !existsSync(`${script}.died`); ms *= 2) {
      const launched = launchInTime({ path, env: {} }, join(folder, 'profile'), [], ms);
      await expect(launched).rejects.toThrow(SilentBrowser);
    }
    rmSync(folder, { recursive: true });
  },
);
