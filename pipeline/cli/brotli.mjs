/** Node's own Brotli in place of the one that fontkit brings, whose dictionary is half a megabyte of text to load. */
export { brotliDecompressSync as default } from 'node:zlib';
