import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { decodeFilm, encodeFilm, packFilms, unpackFilms } from '../../pipeline/tracer/film-file.ts';
import { fromHalf, toHalf } from '../../pipeline/tracer/half-float.ts';

describe('half floats (IEEE 754 binary16)', () => {
  it.each([
    // table of examples, en.wikipedia.org/wiki/Half-precision_floating-point_format
    [2 ** -24, 0x0001],
    [1023 * 2 ** -24, 0x03ff],
    [2 ** -14, 0x0400],
    [0.333251953125, 0x3555],
    [0.99951171875, 0x3bff],
    [1, 0x3c00],
    [1.0009765625, 0x3c01],
    [65504, 0x7bff],
    [-2, 0xc000],
  ])('%d is %i', (value, bits) => {
    expect(toHalf(value)).toBe(bits);
    expect(fromHalf(bits)).toBe(value);
  });

  it('come back bit for bit, all 63 488 finite ones', () => {
    let wrong = 0;
    for (let bits = 0; bits < 65536; bits++)
      if ((bits & 0x7c00) !== 0x7c00 && toHalf(fromHalf(bits)) !== bits) wrong++;
    expect(wrong).toBe(0);
  });

  it('round to the nearest, ties to even', () => {
    expect(toHalf(1 + 2 ** -11)).toBe(0x3c00);
    expect(toHalf(1 + 3 * 2 ** -11)).toBe(0x3c02);
    expect(toHalf(2 ** -25)).toBe(0);
    expect(toHalf(3 * 2 ** -25)).toBe(2);
    fc.assert(
      fc.property(fc.float({ min: Math.fround(2 ** -14), max: 65504, noNaN: true }), (v) => {
        expect(Math.abs(fromHalf(toHalf(v)) / v - 1)).toBeLessThanOrEqual(2 ** -11);
      }),
    );
  });

  it('keep a film finite', () => {
    expect(fromHalf(toHalf(1e9))).toBe(65504);
    expect(fromHalf(toHalf(Number.NaN))).toBe(0);
  });
});

describe('film files', () => {
  it('keep every value to half precision and white exactly', () => {
    const width = 37;
    const height = 21;
    const data = Float32Array.from({ length: width * height * 3 }, (_, i) =>
      i % 5 ? Math.abs(Math.sin(i)) * 20 : 1,
    );
    const film = decodeFilm(encodeFilm({ width, height, data }));
    expect([film.width, film.height]).toEqual([width, height]);
    film.data.forEach((v, i) => {
      if (Math.abs(v - data[i]) > data[i] * 2 ** -11) throw new Error(`${v} for ${data[i]}`);
      if (data[i] === 1 && v !== 1) throw new Error('white moved');
    });
  });

  it('hold a plain ground in next to nothing', () => {
    const data = new Float32Array(256 * 256 * 3).fill(1);
    expect(encodeFilm({ width: 256, height: 256, data }).length).toBeLessThan(4000);
  });

  it('refuse other bytes and films that do not fill their frame', () => {
    expect(() => decodeFilm(Buffer.from('something else entirely'))).toThrow(RangeError);
    expect(() => encodeFilm({ width: 2, height: 2, data: new Float32Array(3) })).toThrow(RangeError);
  });
});

it('packs films into one file and gives them back, but not one that is cut off', () => {
  const films = [1, 2].map((n) => ({ width: n, height: 2, data: new Float32Array(6 * n).fill(n / 4) }));
  const packed = packFilms(films.map(encodeFilm));
  expect(unpackFilms(packed)).toEqual(films);
  expect(() => unpackFilms(packed.subarray(0, packed.length - 1))).toThrow(RangeError);
});
