/** A Radiance picture (uncompressed RGBE), first row on top. */
export function radiancePicture(
  width: number,
  height: number,
  at: (x: number, y: number) => [number, number, number],
): Uint8Array {
  const header = Buffer.from(`#?RADIANCE\nFORMAT=32-bit_rle_rgbe\n\n-Y ${height} +X ${width}\n`, 'latin1');
  const pixels = Buffer.alloc(width * height * 4);
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) {
      const rgb = at(x, y);
      const most = Math.max(...rgb);
      if (most <= 0) continue;
      const exponent = Math.floor(Math.log2(most)) + 1;
      const scale = 256 / 2 ** exponent;
      const o = 4 * (y * width + x);
      rgb.forEach((v, k) => {
        pixels[o + k] = Math.min(255, Math.floor(v * scale));
      });
      pixels[o + 3] = exponent + 128;
    }
  return Buffer.concat([header, pixels]);
}
