import { Mesh } from 'three';
import type { GLTF } from 'three/examples/jsm/loaders/GLTFLoader.js';

interface Variants {
  variants: { name: string }[];
}

interface Mappings {
  mappings: { material: number; variants: number[] }[];
}

/** Names of a model's colourways. */
export function variantNames(gltf: GLTF): string[] {
  const extension: Variants | undefined = gltf.userData.gltfExtensions?.KHR_materials_variants;
  return extension?.variants.map((v) => v.name) ?? [];
}

/** Gives every mesh the material of a variant (KHR_materials_variants). */
export async function wear(gltf: GLTF, variant: string): Promise<void> {
  const index = variantNames(gltf).indexOf(variant);
  if (index < 0) throw new Error(`The model has no colourway named ${variant}.`);
  const meshes: Mesh[] = [];
  gltf.scene.traverse((object) => {
    if (object instanceof Mesh) meshes.push(object);
  });
  await Promise.all(
    meshes.map(async (mesh) => {
      const extension: Mappings | undefined = mesh.userData.gltfExtensions?.KHR_materials_variants;
      const mapping = extension?.mappings.find((m) => m.variants.includes(index));
      if (!mapping) return;
      mesh.material = await gltf.parser.getDependency('material', mapping.material);
      gltf.parser.assignFinalMaterial(mesh);
    }),
  );
}
