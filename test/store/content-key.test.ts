import { describe, expect, it } from 'vitest';
import { artefactKey, sha256 } from '../../pipeline/store/content-key.ts';

describe('content keys', () => {
  it('are SHA-256 of canonical JSON: sorted keys, no spaces', () => {
    expect(artefactKey({ b: [1, 'x'], a: { d: null, c: 0.1 } })).toBe(
      sha256('{"a":{"c":0.1,"d":null},"b":[1,"x"]}'),
    );
    // FIPS 180-4 example, "abc"
    expect(sha256('abc')).toBe('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad');
  });

  it('do not depend on the order in which properties were set', () => {
    expect(artefactKey({ a: 1, b: 2 })).toBe(artefactKey({ b: 2, a: 1 }));
    expect(artefactKey([1, 2])).not.toBe(artefactKey([2, 1]));
  });

  it('tell typed arrays apart by content, kind and length', () => {
    const key = (data: ArrayBufferView) => artefactKey({ data });
    expect(key(Float32Array.of(1, 2))).toBe(key(Float32Array.of(0, 1, 2).subarray(1)));
    expect(key(Float32Array.of(1, 2))).not.toBe(key(Float32Array.of(1, 3)));
    expect(key(Float32Array.of(0))).not.toBe(key(Int32Array.of(0)));
    expect(key(new Uint8Array(1))).not.toBe(key(new Uint8Array(2)));
  });

  it('refuse numbers that JSON cannot hold', () => {
    expect(() => artefactKey({ a: Number.NaN })).toThrow(TypeError);
  });
});
