/**
 * One colourway of a GLB with several: the same meshes, byte for byte, under its materials alone. Only the JSON chunk
 * is written anew, so nothing is decoded or compressed again (glTF 2.0, 4.4: a GLB is a 12-byte header and chunks of
 * length, type and data, each padded to 4 bytes).
 */

const JSON_CHUNK = 0x4e4f534a;
const VARIANTS = 'KHR_materials_variants';

interface Primitive {
  material?: number;
  extensions?: Record<string, unknown>;
}

interface Gltf {
  meshes?: { primitives: Primitive[] }[];
  materials?: unknown[];
  extensions?: Record<string, unknown>;
  extensionsUsed?: string[];
  extensionsRequired?: string[];
}

/**
 * @param variant name of a colourway as the file has it
 * @throws RangeError if the file has no such colourway
 */
export function singleGlb(glb: Uint8Array, variant: string): Uint8Array {
  const bytes = Buffer.from(glb.buffer, glb.byteOffset, glb.byteLength);
  const length = bytes.readUInt32LE(12);
  if (bytes.readUInt32LE(16) !== JSON_CHUNK) throw new RangeError('expected a GLB that begins with JSON');
  const gltf = JSON.parse(bytes.toString('utf8', 20, 20 + length)) as Gltf;
  const text = Buffer.from(JSON.stringify(dressed(gltf, variant)));
  const json = Buffer.concat([text, Buffer.alloc((4 - (text.length % 4)) % 4, ' ')]);
  const rest = bytes.subarray(20 + length);
  const header = Buffer.from(bytes.subarray(0, 20));
  header.writeUInt32LE(20 + json.length + rest.length, 8);
  header.writeUInt32LE(json.length, 12);
  return Buffer.concat([header, json, rest]);
}

function dressed(gltf: Gltf, variant: string): Gltf {
  const { [VARIANTS]: listed, ...extensions } = gltf.extensions ?? {};
  const names = (listed as { variants: { name: string }[] } | undefined)?.variants.map((v) => v.name) ?? [];
  const chosen = names.indexOf(variant);
  if (chosen < 0) throw new RangeError(`expected a colourway of ${names.join(', ')} but received ${variant}`);
  const worn: number[] = [];
  const meshes = gltf.meshes?.map((mesh) => ({
    ...mesh,
    primitives: mesh.primitives.map((primitive) => {
      const material = wornBy(primitive, chosen);
      if (material !== undefined && !worn.includes(material)) worn.push(material);
      return {
        ...without(primitive),
        ...(material === undefined ? {} : { material: worn.indexOf(material) }),
      };
    }),
  }));
  const one: Gltf = { ...gltf, meshes, materials: worn.map((m) => gltf.materials?.[m]) };
  if (Object.keys(extensions).length > 0) one.extensions = extensions;
  else delete one.extensions;
  return onlyUsed(one);
}

function wornBy({ material, extensions }: Primitive, chosen: number): number | undefined {
  const mapping = extensions?.[VARIANTS] as
    | { mappings: { material: number; variants: number[] }[] }
    | undefined;
  return mapping?.mappings.find((m) => m.variants.includes(chosen))?.material ?? material;
}

function without({ extensions, ...primitive }: Primitive): Primitive {
  const { [VARIANTS]: _, ...others } = extensions ?? {};
  return Object.keys(others).length > 0 ? { ...primitive, extensions: others } : primitive;
}

/** Extensions that only other colourways' materials needed are no longer declared. */
function onlyUsed({ extensionsUsed = [], ...gltf }: Gltf): Gltf {
  const text = JSON.stringify({ ...gltf, extensionsRequired: undefined });
  const used = extensionsUsed.filter(
    (name) => text.includes(`"${name}"`) || gltf.extensionsRequired?.includes(name),
  );
  return used.length > 0 ? { ...gltf, extensionsUsed: used } : gltf;
}
