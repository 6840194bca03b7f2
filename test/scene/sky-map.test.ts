import { DataTexture, FloatType, RGBAFormat } from 'three';
import {
  EXRExporter,
  NO_COMPRESSION,
  ZIP_COMPRESSION,
  ZIPS_COMPRESSION,
} from 'three/examples/jsm/exporters/EXRExporter.js';
import { describe, expect, it } from 'vitest';
import { decodeSky, skyIrradiance } from '../../pipeline/scene/sky-map.ts';
import { GROUND_ALBEDO, lightStudio } from '../../pipeline/scene/studio.ts';
import { radiancePicture, runPicture } from './radiance-picture.ts';

/** Red grows to the right, green downwards; exact in RGBE and half floats. */
const ramp = (x: number, y: number): [number, number, number] => [(x + 1) / 16, (y + 1) / 16, 0.5];

const lens = (azimuth: number) => ({ azimuth, elevation: 0.4, distance: 90 });

describe('pictures of the sky', () => {
  it('Radiance: the first row is the top, values come back to 8 bits of mantissa', () => {
    // format: G. Ward, "Real Pixels", Graphics Gems II, 1991
    const sky = decodeSky(radiancePicture(16, 8, ramp));
    expect([sky.width, sky.height]).toEqual([16, 8]);
    for (const [x, y] of [
      [0, 0],
      [15, 0],
      [3, 7],
    ])
      ramp(x, y).forEach((v, k) => {
        expect(Math.abs(sky.texels[3 * (y * 16 + x) + k] / v - 1)).toBeLessThan(1 / 100);
      });
  });

  it('OpenEXR: the same picture, written by three.js from its bottom row up', async () => {
    const data = new Float32Array(16 * 8 * 4);
    for (let y = 0; y < 8; y++)
      for (let x = 0; x < 16; x++) data.set([...ramp(x, y), 1], 4 * ((7 - y) * 16 + x));
    const texture = new DataTexture(data, 16, 8, RGBAFormat, FloatType);
    const sky = decodeSky(await new EXRExporter().parse(texture));
    for (const [x, y] of [
      [0, 0],
      [15, 0],
      [3, 7],
    ])
      ramp(x, y).forEach((v, k) => {
        expect(sky.texels[3 * (y * 16 + x) + k]).toBeCloseTo(v, 3);
      });
  });

  it('shrinks large pictures by area: a sun of one pixel keeps its light', () => {
    const sky = decodeSky(
      radiancePicture(1500, 750, (x, y) => (x === 350 && y === 151 ? [2048, 2048, 2048] : [0, 0, 0])),
    );
    expect([sky.width, sky.height]).toEqual([1024, 512]);
    const sum = sky.texels.reduce((a, b) => a + b, 0) / 3;
    // three scales mantissas by 1/255, the format by 1/256: 0.4 % brighter, which metering takes out again
    expect(Math.abs(sum / ((2048 * 1024 * 512) / (1500 * 750)) - 1)).toBeLessThan(0.0045);
  });

  it('refuses what it cannot read or what is not latitude by longitude', () => {
    expect(() => decodeSky(Buffer.from('#?RADIANCE\nnonsense'))).toThrow(RangeError);
    expect(() => decodeSky(Buffer.from([0x76, 0x2f, 0x31, 0x01, 1, 2, 3]))).toThrow(RangeError);
    expect(() => decodeSky(radiancePicture(8, 8, ramp))).toThrow(/twice as wide/);
  });

  it('refuses a size that no machine should believe, before decoding anything', async () => {
    const radiance = Buffer.from(
      '#?RADIANCE\nFORMAT=32-bit_rle_rgbe\n\n-Y 1000000 +X 2000000\n\0\0\0\0',
      'latin1',
    );
    expect(() => decodeSky(radiance)).toThrow(/2000000 × 1000000, bring it to 8192 × 4096/);
    const texture = new DataTexture(new Float32Array(16 * 8 * 4), 16, 8, RGBAFormat, FloatType);
    const exr = Buffer.from(await new EXRExporter().parse(texture));
    const window = exr.indexOf('dataWindow\0box2i\0') + 'dataWindow\0box2i\0'.length + 4;
    exr.writeInt32LE(2 ** 30, window + 8);
    expect(() => decodeSky(exr)).toThrow(/1073741825 × 8/);
  });

  it('refuses what was cut off, wherever: no part of a sky is a sky', async () => {
    const flat = radiancePicture(16, 8, ramp);
    for (const lost of [1, 4, 100, 16 * 8 * 4])
      expect(() => decodeSky(flat.subarray(0, -lost))).toThrow(/cut off/);
    const runs = runPicture(16, 8);
    expect(decodeSky(runs).texels[0]).toBeGreaterThan(0);
    for (const lost of [1, 2, 12, 13, 60])
      expect(() => decodeSky(runs.subarray(0, -lost))).toThrow(/cut off/);
    const texture = new DataTexture(new Float32Array(16 * 8 * 4).fill(0.5), 16, 8, RGBAFormat, FloatType);
    for (const compression of [NO_COMPRESSION, ZIPS_COMPRESSION, ZIP_COMPRESSION]) {
      const exr = await new EXRExporter().parse(texture, { compression });
      expect(decodeSky(exr).width).toBe(16);
      for (const lost of [1, 30, exr.length - 400])
        expect(() => decodeSky(exr.subarray(0, -lost))).toThrow(RangeError);
    }
  });

  it('refuses a sky that throws no light on level ground', () => {
    expect(() => decodeSky(radiancePicture(16, 8, () => [0, 0, 0]))).toThrow(/light in its upper half/);
    expect(() => decodeSky(radiancePicture(16, 8, (_, y) => (y < 4 ? [0, 0, 0] : [1, 1, 1])))).toThrow(
      /light/,
    );
  });

  it('is metered: an even sky L gives πL (closed form), and the ground its stated radiance', () => {
    const sky = decodeSky(radiancePicture(64, 32, () => [0.5, 0.5, 0.5]));
    expect(skyIrradiance(sky)).toBeCloseTo(sky.texels[0] * Math.PI, 6);
    const picture = { file: 'x', hash: 'x', turn: 0, light: 3 };
    const studio = { panels: [], dome: [0, 0], sky: picture, groundRadiance: 0.4 };
    const lit = lightStudio(studio, lens(0), 10, sky);
    expect(lit.sky?.texels[0]).toBeCloseTo(0.4 / GROUND_ALBEDO, 6);
    expect(() => lightStudio(studio, lens(0), 10)).toThrow(RangeError);
  });

  it('goes round with the camera: its middle stays behind the band', () => {
    const sky = decodeSky(radiancePicture(64, 32, () => [1, 1, 1]));
    const studio = {
      panels: [],
      dome: [0, 0],
      sky: { file: 'x', hash: 'x', turn: 0.1, light: 1 },
      groundRadiance: 1,
    };
    const azimuth = 0.7;
    const turn = lightStudio(studio, lens(azimuth), 10, sky).sky?.turn ?? 0;
    // place across the picture of the direction away from the camera: 1/2 + atan2(x, −z)/2π + turn
    const x = -Math.sin(azimuth);
    const z = -Math.cos(azimuth);
    expect(0.5 + Math.atan2(x, -z) / (2 * Math.PI) + turn).toBeCloseTo(0.5 + 0.1, 9);
  });
});
