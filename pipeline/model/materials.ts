/**
 * glTF materials of alloys and stones, each made once however many colourways wear it.
 */
import type { Document, Material } from '@gltf-transform/core';
import {
  KHRMaterialsDispersion,
  KHRMaterialsIOR,
  KHRMaterialsTransmission,
  KHRMaterialsVolume,
} from '@gltf-transform/extensions';
import type { AlloyLook, FinishLook, Rgb, StoneLook } from './look.ts';

const METRES_PER_MM = 0.001;

export interface MaterialSet {
  metal(alloy: AlloyLook, finish: FinishLook): Material;
  /** @param depthMm table to culet @param pathMm what light travels in the stone */
  stone(look: StoneLook, depthMm: number, pathMm: number): Material;
}

export function createMaterials(document: Document): MaterialSet {
  const made = new Map<string, Material>();
  const once = (key: string, make: () => Material) => {
    const known = made.get(key) ?? make();
    made.set(key, known);
    return known;
  };
  return {
    metal: (alloy, finish) =>
      once(JSON.stringify([alloy, finish.name, finish.roughness]), () => {
        const { colour, roughness } = metalFactors(alloy, finish);
        return document
          .createMaterial(plainName(`${alloy.name}_${finish.name}`))
          .setBaseColorFactor([...colour, 1])
          .setMetallicFactor(1)
          .setRoughnessFactor(roughness);
      }),
    stone: (look, depthMm, pathMm) =>
      once(JSON.stringify([look, look.abbe === Number.POSITIVE_INFINITY, depthMm, pathMm]), () =>
        createStone(document, look, depthMm, pathMm),
      ),
  };
}

/**
 * KHR_materials_transmission, _ior, _volume and _dispersion. Viewers let light through the stone's depth once; what it
 * travels in truth is longer. So the colour that is left after that path, exp(−a × path) for an absorption a per mm, stands
 * at the depth as attenuation distance, in metres.
 */
function createStone(document: Document, look: StoneLook, depthMm: number, pathMm: number): Material {
  const depth = depthMm * METRES_PER_MM;
  const volume = document.createExtension(KHRMaterialsVolume).createVolume().setThicknessFactor(depth);
  if (look.absorption.some((a) => a > 0)) {
    volume.setAttenuationDistance(depth).setAttenuationColor(stoneTint(look, pathMm));
  }
  const material = document
    .createMaterial(plainName(look.name))
    .setMetallicFactor(0)
    .setRoughnessFactor(0)
    .setExtension(
      'KHR_materials_transmission',
      document.createExtension(KHRMaterialsTransmission).createTransmission().setTransmissionFactor(1),
    )
    .setExtension('KHR_materials_ior', document.createExtension(KHRMaterialsIOR).createIOR().setIOR(look.ior))
    .setExtension('KHR_materials_volume', volume);
  if (look.abbe !== undefined && Number.isFinite(look.abbe) && look.abbe > 0) {
    material.setExtension(
      'KHR_materials_dispersion',
      // the extension's unit is 20 / V
      document
        .createExtension(KHRMaterialsDispersion)
        .createDispersion()
        .setDispersion(20 / look.abbe),
    );
  }
  return material;
}

/** Colour (linear) and perceptual roughness of a metal within what realtime formats take. */
export function metalFactors(
  alloy: AlloyLook,
  finish: FinishLook,
): { colour: [number, number, number]; roughness: number } {
  return { colour: clipped(alloy.f0), roughness: Math.min(1, Math.max(0, finish.roughness)) };
}

/** Share of light left after `pathMm` of a stone: exp(−a × path). */
export function stoneTint({ absorption: [r, g, b] }: StoneLook, pathMm: number): [number, number, number] {
  return [Math.exp(-r * pathMm), Math.exp(-g * pathMm), Math.exp(-b * pathMm)];
}

function clipped(colour: Rgb): [number, number, number] {
  const clip = (v: number) => Math.min(1, Math.max(0, v));
  return [clip(colour[0]), clip(colour[1]), clip(colour[2])];
}

/** A node, mesh or material name any viewer can take: a–z, 0–9, `_` and `-`, beginning with a letter. */
export function plainName(text: string): string {
  const plain = variantName(text);
  return /^[a-z]/.test(plain) ? plain : `n${plain && `_${plain}`}`;
}

/** A variant name: a–z, 0–9, `_` and `-`. A short form that is already plain stays as it is. */
export function variantName(text: string): string {
  return text
    .normalize('NFD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^a-z0-9_-]+/g, '_')
    .replace(/^[_-]+|[_-]+$/g, '');
}
