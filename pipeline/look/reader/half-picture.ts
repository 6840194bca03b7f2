/**
 * Fills a picture of which the even fields of a chequerboard are traced: each of the others with the mean of its neighbours
 * to all four sides, at the edge with the one inside twice.
 * @param data linear RGB, row by row, which is written into; two pixels at least each way
 */
export function fillBetween(data: Float32Array, width: number, height: number): void {
  const row = 3 * width;
  for (let y = 0; y < height; y++)
    for (let x = 1 - (y % 2); x < width; x += 2) {
      const at = 3 * (y * width + x);
      const left = x > 0 ? at - 3 : at + 3;
      const right = x < width - 1 ? at + 3 : at - 3;
      const above = y > 0 ? at - row : at + row;
      const below = y < height - 1 ? at + row : at - row;
      for (let k = 0; k < 3; k++)
        data[at + k] = (data[left + k] + data[right + k] + data[above + k] + data[below + k]) / 4;
    }
}
