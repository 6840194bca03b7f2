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

/** An even grey Radiance picture whose lines are four runs each (G. Ward, "Real Pixels", Graphics Gems II, 1991). */
export function runPicture(width: number, height: number): Uint8Array {
  const header = Buffer.from(`#?RADIANCE\nFORMAT=32-bit_rle_rgbe\n\n-Y ${height} +X ${width}\n`, 'latin1');
  const line = [2, 2, width >> 8, width & 255, ...[128, 128, 128, 129].flatMap((v) => [128 + width, v])];
  return Buffer.concat([header, ...Array.from({ length: height }, () => Buffer.from(line))]);
}
