import sharp from 'sharp';
import { expect, it } from 'vitest';
import { loadLogo } from '../../pipeline/picture/logo.ts';

const load = (data: string | Uint8Array) => loadLogo('logo', async () => Buffer.from(data as string));
const svg = (inner: string) =>
  `<svg xmlns="http://www.w3.org/2000/svg" width="40" height="20">${inner}</svg>`;

it('lays a transparent logo on white, opaque', async () => {
  const { data } = await load(svg('<circle cx="20" cy="10" r="5"/>'));
  const { channels } = await sharp(data).stats();
  expect(channels.slice(0, 3).map((c) => c.max)).toEqual([255, 255, 255]);
  expect(
    await sharp(data)
      .stats()
      .then((s) => s.isOpaque),
  ).toBe(true);
});

it.each([
  ['white on white', svg('<circle cx="20" cy="10" r="5" fill="#fff"/>')],
  ['white lines on nothing', svg('<path d="M0 10H40" stroke="#fff"/>')],
  ['a script', svg('<script>1</script><rect width="9" height="9"/>')],
  ['10 MB', svg(`<!--${'x'.repeat(10e6)}--><rect width="9" height="9"/>`)],
  ['no picture', 'plain text'],
])('refuses %s', (_, data) => expect(load(data)).rejects.toMatchObject({ name: 'ProblemError' }));
