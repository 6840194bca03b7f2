/** Reads the XMP packet out of picture bytes by the formats' own specifications, without an image library. */
/** ISO/IEC 15948 (PNG): iTXt chunk with the keyword that XMP part 3 (ISO 16684-3 draft, 1.1.5) names. */
function fromPng(bytes: Buffer): Buffer | undefined {
  for (let at = 8; at < bytes.length; ) {
    const length = bytes.readUInt32BE(at);
    const chunk = bytes.subarray(at + 8, at + 8 + length);
    if (
      bytes.toString('latin1', at + 4, at + 8) === 'iTXt' &&
      chunk.toString('latin1', 0, 18) === 'XML:com.adobe.xmp\0'
    ) {
      // compression flag and method, then language and translated keyword, each ended by a zero
      const language = chunk.indexOf(0, 20);
      return chunk[18] === 0 ? chunk.subarray(chunk.indexOf(0, language + 1) + 1) : undefined;
    }
    at += 12 + length;
  }
  return undefined;
}

/** XMP part 3, 1.1.3: APP1 segment that begins with the name space and a zero, at most 65,502 bytes of packet. */
function fromJpeg(bytes: Buffer): Buffer | undefined {
  const mark = 'http://ns.adobe.com/xap/1.0/\0';
  for (let at = 2; bytes[at] === 0xff && bytes[at + 1] !== 0xda; ) {
    const length = bytes.readUInt16BE(at + 2);
    const body = bytes.subarray(at + 4, at + 2 + length);
    if (bytes[at + 1] === 0xe1 && body.toString('latin1', 0, mark.length) === mark)
      return body.subarray(mark.length);
    at += 2 + length;
  }
  return undefined;
}

/** RFC 9649 (WebP): RIFF chunk `XMP `, announced by bit 2 of the flags of VP8X. */
function fromWebp(bytes: Buffer): Buffer | undefined {
  let announced = false;
  for (let at = 12; at < bytes.length; ) {
    const name = bytes.toString('latin1', at, at + 4);
    const length = bytes.readUInt32LE(at + 4);
    if (name === 'VP8X') announced = (bytes[at + 8] & 4) !== 0;
    if (name === 'XMP ') return announced ? bytes.subarray(at + 8, at + 8 + length) : undefined;
    at += 8 + length + (length & 1);
  }
  return undefined;
}

interface Box {
  type: string;
  body: Buffer;
}

/** ISO/IEC 14496-12: boxes of 32-bit size and four letters. */
function boxes(bytes: Buffer): Box[] {
  const found: Box[] = [];
  for (let at = 0; at + 8 <= bytes.length; ) {
    const size = bytes.readUInt32BE(at) || bytes.length - at;
    found.push({ type: bytes.toString('latin1', at + 4, at + 8), body: bytes.subarray(at + 8, at + size) });
    at += size;
  }
  return found;
}

/** ISO/IEC 14496-12, 8.11: the item of type `mime` and content type application/rdf+xml, found through iinf and iloc. */
function fromAvif(bytes: Buffer): Buffer | undefined {
  const meta = boxes(bytes).find((b) => b.type === 'meta');
  const inside = meta ? boxes(meta.body.subarray(4)) : [];
  const infos = boxes(inside.find((b) => b.type === 'iinf')!.body.subarray(6)).map((b) => b.body);
  const item = infos.find(
    (b) => b.subarray(8).toString('latin1', 0, 4) === 'mime' && b.includes('application/rdf+xml'),
  );
  const iloc = inside.find((b) => b.type === 'iloc')?.body;
  if (!item || !iloc) return undefined;
  const id = item.readUInt16BE(4);
  const version = iloc[0];
  const sizes = iloc.readUInt16BE(4);
  const [offsetSize, lengthSize, baseSize] = [(sizes >> 12) & 15, (sizes >> 8) & 15, (sizes >> 4) & 15];
  const number = (at: number, size: number) => (size === 0 ? 0 : iloc.readUIntBE(at, size));
  let at = 8;
  for (let i = 0; i < iloc.readUInt16BE(6); i++) {
    const found = iloc.readUInt16BE(at);
    at += version > 0 ? 6 : 4;
    const base = number(at, baseSize);
    at += baseSize;
    const extents = iloc.readUInt16BE(at);
    at += 2;
    for (let e = 0; e < extents; e++) {
      const offset = base + number(at, offsetSize);
      const length = number(at + offsetSize, lengthSize);
      if (found === id) return bytes.subarray(offset, offset + length);
      at += offsetSize + lengthSize;
    }
  }
  return undefined;
}

/** The packet as text. */
export function readXmpPacket(data: Uint8Array): string | undefined {
  const bytes = Buffer.from(data);
  if (bytes[0] === 0x89) return fromPng(bytes)?.toString('utf8');
  if (bytes[0] === 0xff) return fromJpeg(bytes)?.toString('utf8');
  return (bytes.toString('latin1', 0, 4) === 'RIFF' ? fromWebp(bytes) : fromAvif(bytes))?.toString('utf8');
}

/** ISO/IEC 14496-12, 12.1.5: property box `colr` of type `prof` or `rICC`. */
export function readAvifProfile(bytes: Buffer): Buffer | undefined {
  const inside = boxes(
    boxes(bytes)
      .find((b) => b.type === 'meta')!
      .body.subarray(4),
  );
  const shared = boxes(
    boxes(inside.find((b) => b.type === 'iprp')!.body).find((b) => b.type === 'ipco')!.body,
  );
  const colour = shared.find(
    (b) => b.type === 'colr' && /^(prof|rICC)/.test(b.body.toString('latin1', 0, 4)),
  );
  return colour?.body.subarray(4);
}
