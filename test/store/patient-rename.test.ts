import { expect, it } from 'vitest';
import { patiently } from '../../pipeline/store/patient-rename.ts';

/** A file system that refuses so many times with a code, and a clock that only counts. */
function busy(times: number, code: string, platform = 'win32') {
  const seen = { tries: 0, waitedMs: 0 };
  return {
    seen,
    async rename() {
      seen.tries++;
      if (seen.tries <= times) throw Object.assign(new Error(code), { code });
    },
    here: {
      platform,
      async pause(ms: number) {
        seen.waitedMs += ms;
      },
    },
  };
}

it.each(['EPERM', 'EACCES', 'EBUSY', 'ENOTEMPTY'])(
  'a file that a scanner holds for a moment is waited for (%s)',
  async (code) => {
    const { seen, rename, here } = busy(6, code);
    await patiently('b', rename, here);
    expect(seen.tries).toBe(7);
    expect(seen.waitedMs).toBeLessThan(2000);
  },
);

it('a file that stays open is told after some seconds, with what to do', async () => {
  const { seen, rename, here } = busy(Number.POSITIVE_INFINITY, 'EPERM');
  await expect(patiently('b', rename, here)).rejects.toMatchObject({
    problems: [{ code: 'file-in-use', path: 'b', advice: expect.stringContaining('Close the program') }],
  });
  expect(seen.waitedMs).toBeGreaterThanOrEqual(5000);
  expect(seen.waitedMs).toBeLessThan(6000);
});

it('on other systems no permission is no permission, at once', async () => {
  const { seen, rename, here } = busy(1, 'EPERM', 'linux');
  await expect(patiently('b', rename, here)).rejects.toMatchObject({ code: 'EPERM' });
  expect(seen).toEqual({ tries: 1, waitedMs: 0 });
});

it('a full disk is not waited for', async () => {
  const { seen, rename, here } = busy(1, 'ENOSPC');
  await expect(patiently('b', rename, here)).rejects.toMatchObject({ code: 'ENOSPC' });
  expect(seen.tries).toBe(1);
});
