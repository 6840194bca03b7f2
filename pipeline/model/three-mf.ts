/**
 * 3MF (3MF Core Specification 1.x, ISO/IEC 25422): a ZIP package (OPC) with content types, one relationship and the
 * model as XML, in millimetres. Points are shared between triangles, as the format asks of a manifold mesh; the build
 * item moves the part into the positive octant. A part of several bodies is one object of named ones (components, 4.2).
 */
import { strToU8, unzipSync, zipSync } from 'three/addons/libs/fflate.module.js';
import { type PartBody, partBodies } from './part-bodies.ts';
import type { PartMesh } from './part-mesh.ts';

const CORE = 'http://schemas.microsoft.com/3dmanufacturing/core/2015/02';
const PACKAGE = 'http://schemas.openxmlformats.org/package/2006';
const MODEL = '3D/3dmodel.model';

const TYPES = `<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="${PACKAGE}/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>
`;
const RELATIONS = `<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="${PACKAGE}/relationships"><Relationship Target="/${MODEL}" Id="model" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>
`;

export interface PackageWords {
  title: string;
  /** what the bench must know: alloy, allowances */
  description: string;
}

/** The same input gives the same bytes: entries carry the earliest date a ZIP can hold. */
export function write3mf(part: PartMesh, words: PackageWords): Uint8Array {
  const files = {
    '[Content_Types].xml': strToU8(TYPES),
    '_rels/.rels': strToU8(RELATIONS),
    [MODEL]: strToU8(modelXml(part, words)),
  };
  return zipSync(files, { level: 6, mtime: new Date(1980, 0, 1) });
}

function modelXml(part: PartMesh, { title, description }: PackageWords): string {
  const low = [0, 1, 2].map((k) => {
    let least = Number.POSITIVE_INFINITY;
    for (let i = k; i < part.positions.length; i += 3) least = Math.min(least, part.positions[i]);
    return -least;
  });
  const bodies = partBodies(part);
  const objects = bodies.map((body, i) =>
    objectXml(body, i + 1, bodies.length === 1 ? title : bodyName(body, i + 1, title)),
  );
  const whole = bodies.length === 1 ? 1 : bodies.length + 1;
  const components = bodies.map((_, i) => `<component objectid="${i + 1}"/>`).join('');
  const together =
    whole === 1
      ? ''
      : `<object id="${whole}" type="model" name="${escapeXml(title)}"><components>${components}</components></object>\n`;
  return `<?xml version="1.0" encoding="UTF-8"?>
<model unit="millimeter" xml:lang="en" xmlns="${CORE}">
<metadata name="Title">${escapeXml(title)}</metadata>
<metadata name="Description">${escapeXml(description)}</metadata>
<metadata name="Application">Bandwright</metadata>
<resources>${objects.join('')}${together}</resources>
<build><item objectid="${whole}" transform="1 0 0 0 1 0 0 0 1 ${low.map(exact).join(' ')}"/></build>
</model>
`;
}

function bodyName({ lanes }: PartBody, number: number, title: string): string {
  return `${lanes ? lanes.join(' + ') : `piece ${number}`}; ${title}`;
}

function objectXml({ positions, indices }: PartBody, id: number, name: string): string {
  const vertices: string[] = [];
  for (let i = 0; i < positions.length; i += 3) {
    const [x, y, z] = [exact(positions[i]), exact(positions[i + 1]), exact(positions[i + 2])];
    vertices.push(`<vertex x="${x}" y="${y}" z="${z}"/>`);
  }
  const triangles: string[] = [];
  for (let t = 0; t < indices.length; t += 3)
    triangles.push(`<triangle v1="${indices[t]}" v2="${indices[t + 1]}" v3="${indices[t + 2]}"/>`);
  return `<object id="${id}" type="model" name="${escapeXml(name)}"><mesh>
<vertices>
${vertices.join('\n')}
</vertices>
<triangles>
${triangles.join('\n')}
</triangles>
</mesh></object>
`;
}

/** Nine digits tell any two 32-bit floats apart (IEEE 754), so that points stay distinct. */
function exact(x: number): string {
  return String(Number(x.toPrecision(9)));
}

function escapeXml(text: string): string {
  return text.replace(/[<>&"]/g, (c) => `&#${c.charCodeAt(0)};`);
}

/** Enclosed volume of a 3MF as written here, mm³, read back from the packed XML. */
export function volumeOf3mf(data: Uint8Array): number {
  const xml = new TextDecoder().decode(unzipSync(data)[MODEL]);
  return xml.split('<mesh>').reduce((sum, mesh) => sum + meshVolume(mesh), 0);
}

function meshVolume(xml: string): number {
  const number = '"([^"]+)"';
  const points = [...xml.matchAll(new RegExp(`<vertex x=${number} y=${number} z=${number}/>`, 'g'))].map(
    ([, x, y, z]) => [Number(x), Number(y), Number(z)],
  );
  let six = 0;
  for (const [, i, j, k] of xml.matchAll(/<triangle v1="(\d+)" v2="(\d+)" v3="(\d+)"\/>/g)) {
    const [a, b, c] = [points[Number(i)], points[Number(j)], points[Number(k)]];
    six +=
      a[0] * (b[1] * c[2] - b[2] * c[1]) +
      a[1] * (b[2] * c[0] - b[0] * c[2]) +
      a[2] * (b[0] * c[1] - b[1] * c[0]);
  }
  return six / 6;
}
