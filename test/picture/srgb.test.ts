import Color from 'colorjs.io';
import { describe, expect, it } from 'vitest';
import { decodeSrgb, encodeSrgb, quantise, toCodes, triangular } from '../../pipeline/picture/srgb.ts';

describe('sRGB transfer', () => {
  it('agrees with colorjs.io (0.7) in both directions for all 256 codes', () => {
    for (let code = 0; code < 256; code++) {
      const reference = new Color('srgb', [code / 255, 0, 0]).to('srgb-linear').coords[0]!;
      expect(decodeSrgb(code / 255)).toBeCloseTo(reference, 9);
      expect(encodeSrgb(reference) * 255).toBeCloseTo(code, 6);
    }
  });

  it('has the constants of IEC 61966-2-1: slope 12.92 below 0.0031308, ends at 0 and 1', () => {
    expect(encodeSrgb(0.001)).toBeCloseTo(0.01292, 12);
    expect(encodeSrgb(0)).toBe(0);
    expect(encodeSrgb(1)).toBeCloseTo(1, 12);
    expect(encodeSrgb(0.0031308)).toBeCloseTo(encodeSrgb(0.00313081), 5);
    // colorjs.io just above the bend, where the two parts already differ
    expect(encodeSrgb(0.0032)).toBeCloseTo(new Color('srgb-linear', [0.0032, 0, 0]).to('srgb').coords[0]!, 9);
    // 18 % grey is code 118 (widely tabulated)
    expect(Math.round(encodeSrgb(0.18) * 255)).toBe(118);
  });
});

describe('8-bit codes', () => {
  const flat = (linear: number, side: number) => new Float32Array(side * side * 3).fill(linear * 65535);

  it('keeps white and black exact, clips what lies outside', () => {
    expect(new Set(toCodes(flat(1, 64), 64, 64))).toEqual(new Set([255]));
    expect(new Set(toCodes(flat(0, 64), 64, 64))).toEqual(new Set([0]));
    expect(new Set(toCodes(flat(1.2, 8), 8, 8))).toEqual(new Set([255]));
    expect(new Set(toCodes(flat(-0.2, 8), 8, 8))).toEqual(new Set([0]));
  });

  it('dithers to the true mean with the variance of triangular dither', () => {
    // triangular dither ±1 LSB: total error variance is 1/6 + 1/12 = 1/4 LSB², whatever the signal
    // (Lipshitz, Wannamaker, Vanderkooy 1992)
    const side = 512;
    for (const code of [40.0, 100.25, 150.5, 200.9]) {
      const codes = toCodes(flat(decodeSrgb(code / 255), side), side, side);
      let sum = 0;
      let squares = 0;
      for (let i = 0; i < codes.length; i += 3) {
        sum += codes[i] - code;
        squares += (codes[i] - code) ** 2;
      }
      const n = side * side;
      expect(Math.abs(sum / n)).toBeLessThan(0.01);
      expect(Math.abs(squares / n - 0.25)).toBeLessThan(0.02);
    }
  });

  it('rounds under the noise, and does not dither what would round to an end anyway', () => {
    expect([quantise(10, 0.9), quantise(10, -0.9), quantise(10.4, 0)]).toEqual([11, 9, 10]);
    expect([quantise(254.5, -0.99), quantise(254.49, -0.99), quantise(254, 0.99)]).toEqual([255, 254, 255]);
    expect([quantise(0.49, 0.99), quantise(0.51, 0.99), quantise(0.6, -0.9)]).toEqual([0, 2, 0]);
    expect([quantise(0.5, 0.9), quantise(0.5, -0.999), quantise(254.49, 0.999)]).toEqual([1, 0, 255]);
  });

  it('takes every light by the curve at the nearest of 65,536 steps, under the noise of its place', () => {
    const linear = new Float32Array(3 * 65536);
    for (let i = 0; i < 65536; i++) linear.set([i, i + 0.49, i - 0.49], 3 * i);
    const codes = toCodes(linear, 256, 256);
    // sRGB's curve as colorjs.io has it
    const curve = (step: number) => new Color('srgb-linear', [step / 65535, 0, 0]).to('srgb').coords[0]!;
    for (let i = 0; i < 65536; i += 5) {
      const code = quantise(Math.fround(255 * curve(i)), triangular(i % 256, Math.floor(i / 256)));
      expect([codes[3 * i], codes[3 * i + 1], codes[3 * i + 2]], `${i}`).toEqual([code, code, code]);
    }
  });

  it('takes its noise from the published hash, so that pictures keep their bytes', () => {
    // lowbias32 with 16, 21f0aaad, 15, 735a2d97, 15 (C. Wellons, public domain); places are spread by 2³²/φ and a prime
    // of xxHash, in whole numbers that cannot overflow
    const low = (v: bigint) => v & 0xffffffffn;
    const mix = (v: bigint) => {
      let h = low((v ^ (v >> 16n)) * 0x21f0aaadn);
      h = low((h ^ (h >> 15n)) * 0x735a2d97n);
      return h ^ (h >> 15n);
    };
    const noise = (x: number, y: number) => {
      const first = mix(low(BigInt(x) * 0x9e3779b1n) ^ low(BigInt(y + 0x7f4a7c15) * 0x85ebca77n));
      return Number(first - mix(first ^ 0x68bc21ebn)) / 2 ** 32;
    };
    for (const [x, y] of [[0, 0], [1, 0], [0, 1], [37, 911], [4095, 4095]]) // biome-ignore format: places
      expect(triangular(x, y)).toBe(noise(x, y));
  });

  it('keeps neutral greys neutral and gives the same bytes every time', () => {
    const codes = toCodes(flat(0.3, 64), 64, 64);
    for (let i = 0; i < codes.length; i += 3)
      expect(codes[i] === codes[i + 1] && codes[i] === codes[i + 2]).toBe(true);
    expect(toCodes(flat(0.3, 64), 64, 64)).toEqual(codes);
  });

  it('leaves no trace of rows, columns or diagonals in the noise', () => {
    const side = 256;
    const codes = toCodes(flat(decodeSrgb(128 / 255), side), side, side);
    const at = (x: number, y: number) => codes[3 * (y * side + x)] - 128;
    for (const [dx, dy] of [
      [1, 0],
      [0, 1],
      [1, 1],
      [1, -1],
      [2, 0],
      [0, 2],
    ]) {
      let product = 0;
      for (let y = 2; y < side - 2; y++)
        for (let x = 2; x < side - 2; x++) product += at(x, y) * at(x + dx, y + dy);
      // variance ¼, so the correlation's standard error is 1/√n = 0.004
      expect(Math.abs(product / (side - 4) ** 2 / 0.25)).toBeLessThan(0.02);
    }
  });
});
