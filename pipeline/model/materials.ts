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
import { bodyAlbedo } from '../trade/matter.ts';
import type { Rgb } from '../trade/rgb.ts';
import type { AlloyLook, FinishLook, StoneLook } from './look.ts';
import { plainName } from './names.ts';

const METRES_PER_MM = 0.001;

/** How light goes in a stone of one cut and size. */
export interface StoneLight {
  /** table to culet */
  depthMm: number;
  /** what light travels in it */
  pathMm: number;
  /**
   * share of what comes out that has come through it; the rest was mirrored by the pavilion and never met what lies beneath,
   * which viewers know nothing of: seen through such a stone alone, the metal of its seat makes a blue one grey
   */
  through: number;
}

export interface MaterialSet {
  metal(alloy: AlloyLook, finish: FinishLook): Material;
  stone(look: StoneLook, light: StoneLight): Material;
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
        const material = document
          .createMaterial(plainName(`${alloy.name}_${finish.name}`))
          .setBaseColorFactor([...colour, 1])
          .setMetallicFactor(alloy.coat === undefined ? 1 : 0)
          .setRoughnessFactor(roughness);
        if (alloy.coat === undefined) return material;
        const ior = document.createExtension(KHRMaterialsIOR).createIOR().setIOR(alloy.coat);
        return material.setExtension('KHR_materials_ior', ior);
      }),
    stone: (look, light) =>
      once(JSON.stringify([look, look.abbe === Number.POSITIVE_INFINITY, light]), () =>
        createStone(document, look, light),
      ),
  };
}

/**
 * KHR_materials_transmission, _ior, _volume and _dispersion. The colour of a stone is what is left of white light after the
 * path that it goes in it, exp(−a × path) for an absorption a per mm, and colours both what comes through and what comes
 * back: as base colour, since a volume's attenuation colours only the first. What does not come through is given back as that
 * colour; a colourless stone, whose own colour would be chalk, lets all of it through.
 */
function createStone(
  document: Document,
  look: StoneLook,
  { depthMm, pathMm, through }: StoneLight,
): Material {
  const depth = depthMm * METRES_PER_MM;
  const volume = document.createExtension(KHRMaterialsVolume).createVolume().setThicknessFactor(depth);
  const coloured = look.absorption.some((a) => a > 0);
  const transmission = document
    .createExtension(KHRMaterialsTransmission)
    .createTransmission()
    .setTransmissionFactor(coloured ? through : 1);
  const material = document
    .createMaterial(plainName(look.name))
    .setBaseColorFactor([...stoneTint(look, pathMm), 1])
    .setMetallicFactor(0)
    .setRoughnessFactor(0)
    .setExtension('KHR_materials_transmission', transmission)
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
  // viewers add the coat's gloss themselves
  const colour = alloy.coat === undefined ? alloy.f0 : bodyAlbedo([...alloy.f0], alloy.coat);
  return { colour: clipped(colour), roughness: Math.min(1, Math.max(0, finish.roughness)) };
}

/** Share of light left after `pathMm` of a stone: exp(−a × path). */
export function stoneTint({ absorption: [r, g, b] }: StoneLook, pathMm: number): [number, number, number] {
  return [Math.exp(-r * pathMm), Math.exp(-g * pathMm), Math.exp(-b * pathMm)];
}

function clipped(colour: Readonly<Rgb>): [number, number, number] {
  const clip = (v: number) => Math.min(1, Math.max(0, v));
  return [clip(colour[0]), clip(colour[1]), clip(colour[2])];
}
