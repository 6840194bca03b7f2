/**
 * One colourway of a shape as USDZ, for phones that take no GLB (USDZ File Format Specification 1.3, openusd.org):
 * a ZIP package without compression or encryption, the data of each file on a multiple of 64 bytes, the layer first.
 * It holds one text layer. USD's own variants are left out: viewers of phones offer no choice among them.
 *
 * Promise: metres, Y up, posed as the GLB is. Materials are UsdPreviewSurface; metals are the GLB's own numbers. That
 * surface does not bend light, so a stone has mirroring facets of its colour here and never shows fire.
 */
import { strToU8, zipSync } from 'three/addons/libs/fflate.module.js';
import type { ColourwayLook, StoneLook } from './look.ts';
import { metalFactors, stoneTint } from './materials.ts';
import { LOOKS, laneLook, rowLook, type UsdGeometry } from './usd-geometry.ts';

/** The media type registered for it (IANA, 2018). */
export const USDZ_TYPE = 'model/vnd.usdz+zip';

const LAYER = 'band.usda';
/** Header of a file in a ZIP archive, and of an extra field within it (APPNOTE 6.3, 4.3.7 and 4.5.1), bytes. */
const ZIP_HEADER = 30;
const EXTRA_HEADER = 4;
const ALIGNMENT = 64;
/** Any number that no registered extra field has. */
const PADDING_FIELD = 0x6277;

/**
 * A cut stone sends back most light that enters it, by total reflection, which the surface does not know: facets that
 * mirror come nearer to it than clear glass, which shows the seat. By eye, among 0, 0.5 and 0.85.
 */
const STONE_MIRRORS = 0.85;
/** A little of the seat shows through. */
const STONE_OPACITY = 0.9;

/** The same input gives the same bytes. */
export function buildUsdz(geometry: UsdGeometry, way: ColourwayLook, title: string): Uint8Array {
  const layer = strToU8(usdLayer(geometry, way, title));
  const before = ZIP_HEADER + LAYER.length + EXTRA_HEADER;
  const padding = new Uint8Array((ALIGNMENT - (before % ALIGNMENT)) % ALIGNMENT);
  return zipSync(
    { [LAYER]: [layer, { extra: { [PADDING_FIELD]: padding } }] },
    { level: 0, mtime: new Date(1980, 0, 1) },
  );
}

function usdLayer({ lanes, rows, prims }: UsdGeometry, way: ColourwayLook, title: string): string {
  const looks: string[] = [];
  for (let lane = 0; lane < lanes; lane++)
    for (const [bore, finish] of [
      [false, way.finishes[lane]],
      [true, way.bore],
    ] as const) {
      const { name, coat } = way.alloys[lane];
      const { colour, roughness } = metalFactors(way.alloys[lane], finish);
      looks.push(
        material(laneLook(lane, bore), `${name}, ${finish.name}`, [
          `color3f inputs:diffuseColor = ${triple(colour)}`,
          `float inputs:metallic = ${coat === undefined ? 1 : 0}`,
          ...(coat === undefined ? [] : [`float inputs:ior = ${figure(coat)}`]),
          `float inputs:roughness = ${figure(roughness)}`,
        ]),
      );
    }
  rows.forEach(({ slot, pathMm }, row) => {
    looks.push(material(rowLook(row), way.stones[slot].name, stoneInputs(way.stones[slot], pathMm)));
  });
  return `#usda 1.0
(
    customLayerData = {
        string creator = "Bandwright"
    }
    defaultPrim = "band"
    doc = ${quoted(title)}
    metersPerUnit = 1
    upAxis = "Y"
)

def Xform "band" (
    kind = "component"
    displayName = ${quoted(title)}
)
{
    def Scope "${LOOKS.split('/').pop()}"
    {
${looks.join('\n')}
    }

${prims}
}
`;
}

/** What light of a stone's colour is left after its path in it tints it. */
function stoneInputs(stone: StoneLook, pathMm: number): string[] {
  return [
    `color3f inputs:diffuseColor = ${triple(stoneTint(stone, pathMm))}`,
    `float inputs:metallic = ${STONE_MIRRORS}`,
    'float inputs:roughness = 0',
    `float inputs:ior = ${figure(stone.ior)}`,
    `float inputs:opacity = ${STONE_OPACITY}`,
  ];
}

function material(name: string, called: string, inputs: readonly string[]): string {
  return `        def Material "${name}" (
            displayName = ${quoted(called)}
        )
        {
            token outputs:surface.connect = <${LOOKS}/${name}/surface.outputs:surface>

            def Shader "surface"
            {
                uniform token info:id = "UsdPreviewSurface"
                ${inputs.join('\n                ')}
                token outputs:surface
            }
        }`;
}

const figure = (v: number) => String(Number(v.toFixed(6)));
const triple = (v: readonly number[]) => `(${v.map(figure).join(', ')})`;

function quoted(text: string): string {
  return `"${text.replace(/[\\"]/g, '\\$&').replace(/\p{Cc}/gu, ' ')}"`;
}
