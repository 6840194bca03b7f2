/**
 * The kernel's nodes made smaller for the card, each in its place: a ray that wanders alone fetches 96 bytes a node and not
 * 224. Boxes become bytes between the corners of the node's own box, rounded outwards.
 *
 * Words of a node: origin xyz, one byte of biased exponent an axis; low x of eight children and high x, so y and z; children.
 */
import * as layout from '../kernel/layout.ts';

/** in steps of a box's byte: clear of what a ray's arithmetic rounds */
const MARGIN = 0.02;
/** steps are no smaller than this share of the coordinates they are added to */
const LEAST_STEP = 2 ** -20;
const CHILDREN = 16;

/** Rewrites all nodes of the packed scene `words`; children keep their words, but 0 stands for none. */
export function shrinkNodes(words: Uint32Array): void {
  const floats = new Float32Array(words.buffer, words.byteOffset, words.length);
  const visit = (node: number): void => {
    const at = node / 4;
    const children = words.slice(at + layout.NODE_CHILDREN / 4, at + layout.NODE_CHILDREN / 4 + layout.WIDE);
    shrink(words, floats, at, children);
    for (const child of children) if (child !== 0 && (child & 15) === 0) visit(child);
  };
  visit(words[layout.ROOT / 4]);
}

function shrink(words: Uint32Array, floats: Float32Array, at: number, children: Uint32Array): void {
  const boxes = floats.slice(at, at + 6 * layout.WIDE);
  const packed = new Uint32Array(24);
  const origin = new Float32Array(packed.buffer, 0, 3);
  const bytes = new Uint8Array(packed.buffer);
  for (let axis = 0; axis < 3; axis++) {
    const low = boxes.subarray(axis * 2 * layout.WIDE, axis * 2 * layout.WIDE + layout.WIDE);
    const high = boxes.subarray((axis * 2 + 1) * layout.WIDE, (axis * 2 + 2) * layout.WIDE);
    let least = Infinity;
    let most = -Infinity;
    for (let lane = 0; lane < layout.WIDE; lane++) {
      if (children[lane] === 0) continue;
      least = Math.min(least, low[lane]);
      most = Math.max(most, high[lane]);
    }
    if (!(least <= most)) least = most = 0;
    const wanted = Math.max(
      (most - least) / 250,
      LEAST_STEP * Math.max(Math.abs(least), Math.abs(most), 1e-3),
    );
    const exponent = Math.ceil(Math.log2(wanted));
    const step = 2 ** exponent;
    origin[axis] = least - step;
    bytes[12 + axis] = exponent + 127;
    for (let lane = 0; lane < layout.WIDE; lane++) {
      const used = children[lane] !== 0;
      const from = Math.floor((low[lane] - origin[axis]) / step - MARGIN);
      const to = Math.ceil((high[lane] - origin[axis]) / step + MARGIN);
      bytes[CHILDREN + axis * 16 + lane] = used ? Math.max(0, from) : 255;
      bytes[CHILDREN + axis * 16 + layout.WIDE + lane] = used ? Math.min(255, to) : 0;
    }
  }
  packed.set(children, 16);
  words.set(packed, at);
}
