import type { LaneDesign, ShapeDesign } from './design.ts';
import type { Findings, Locate } from './findings.ts';
import { gapDesign } from './gap-schema.ts';
import { bedOf, checkInlays } from './inlay-beds.ts';
import { bandMarks, checkMarks, seamMarksDesign } from './marks-template.ts';
import { checkOutline, outlineDesign } from './outline-design.ts';
import { checkRows } from './row-check.ts';
import { rowDesigns } from './row-template.ts';
import { middleOf, seamPath } from './seam-kinds.ts';
import { backOf, checkSection, sectionDesign, sectionTaper } from './section-design.ts';
import { checkStrands } from './strands-check.ts';
import { strandsDesign } from './strands-schema.ts';
import { adviseName } from './suggestion.ts';
import type { Template } from './template-schema.ts';
import { textureDesign } from './texture-schema.ts';
import type { FlatDesign, TaperDesign } from './width-design.ts';

function laneDesign(name: string, l: Template['lanes'][string], template: Template): LaneDesign {
  const bed = l.inlay && bedOf(name, template);
  return {
    name,
    recessMm: l.recess,
    softenMm: l.soften,
    ...(l.hammer && {
      hammer: { facetMm: l.hammer.facet, depthMm: l.hammer.depth, seed: l.hammer.seed },
    }),
    ...(l.texture && { texture: textureDesign(l.texture) }),
    ...(l.facets && {
      facets: { count: l.facets.count, depthMm: l.facets.depth, slantRad: l.facets.slant },
    }),
    ...(l.inlay && { inlay: { depthMm: l.inlay.depth, bed: bed ?? '' } }),
  };
}

function taperDesign(template: Template, widthMm: number): TaperDesign | undefined {
  const back = backOf(template.taper, widthMm, template.thickness);
  return (
    back && {
      ...back,
      ...sectionTaper(template.section, back.widthMm),
      seams: Object.values(template.seams).map((s) => seamPath(s, back.widthMm)),
    }
  );
}

function flatDesign({ length, rise, edge }: NonNullable<Template['flat']>): FlatDesign {
  return { lengthMm: length, riseMm: rise, edgeMm: edge };
}

function gapsDesign({ gaps, thickness }: Template, circumferenceMm: number): Pick<ShapeDesign, 'gaps'> {
  const radius = circumferenceMm / (2 * Math.PI) + thickness;
  const all = Object.entries(gaps).flatMap(([name, gap]) => gapDesign(name, gap, radius));
  return all.length > 0 ? { gaps: all } : {};
}

/** The solids' design of a template at one size and width (mm). `withStones: false` leaves the rows out. */
export function shapeDesign(
  template: Template,
  circumferenceMm: number,
  widthMm: number,
  withStones: boolean,
): ShapeDesign {
  const taper = taperDesign(template, widthMm);
  const outline = outlineDesign(template, widthMm);
  return {
    circumferenceMm,
    widthMm,
    thicknessMm: template.thickness,
    ...(taper && { taper }),
    ...(outline && { outline }),
    ...(template.flat && { flat: flatDesign(template.flat) }),
    ...gapsDesign(template, circumferenceMm),
    section: template.strands ? SPACE : sectionDesign(template.section, widthMm),
    ...(template.strands && {
      strands: strandsDesign(template.strands, circumferenceMm, template.thickness),
    }),
    seams: template.strands
      ? evenSeams(Object.keys(template.lanes).length, widthMm)
      : Object.entries(template.seams).map(([name, s]) => ({
          name,
          ...seamPath(s, widthMm),
          ...seamMarksDesign(name, s),
        })),
    lanes: Object.entries(template.lanes).map(([name, l]) => laneDesign(name, l, template)),
    rows: withStones ? Object.entries(template.rows).flatMap(([name, r]) => rowDesigns(name, r)) : [],
    ...bandMarks(template, widthMm),
    chordToleranceMm: template['chord-tolerance'],
  };
}

/** The space that wires fill. */
const SPACE: ShapeDesign['section'] = { name: 'flat', domeMm: 0, comfortMm: 0, edgeMm: 0, boreEdgeMm: 0 };

/** Parts of that space, one for each wire. */
function evenSeams(lanes: number, widthMm: number): ShapeDesign['seams'] {
  return Array.from({ length: lanes - 1 }, (_, i) => ({
    kind: 'straight',
    atMm: widthMm * ((i + 1) / lanes - 0.5),
  }));
}

/** Reports what the schema cannot see: counts and names that must agree within a template. */
export function checkTemplate(template: Template, findings: Findings, locate: Locate): void {
  const lanes = Object.keys(template.lanes);
  const seams = Object.keys(template.seams).length;
  const wrong = (code: string, path: string[], expected: string, received: string, advice: string) =>
    findings.add({ code, path, expected, received, advice }, locate);
  if (lanes.length === 0)
    wrong('no-lane', ['lanes'], 'at least one lane', 'none', 'Add a lane, for example "band".');
  else if (!template.strands && seams !== lanes.length - 1) {
    const received = `${seams} seams for ${lanes.length} lanes`;
    wrong('seam-count', ['seams'], 'one seam fewer than lanes', received, 'Add or remove a seam or a lane.');
  }
  for (const [name, row] of Object.entries(template.rows)) {
    if (lanes.includes(row.lane)) continue;
    const received = JSON.stringify(row.lane);
    wrong(
      'unknown-name',
      ['rows', name, 'lane'],
      `one of ${lanes.join(', ')}`,
      received,
      adviseName(row.lane, lanes),
    );
  }
  checkRows(template, findings, locate);
  checkInlays(template, findings, locate);
  checkSection(template.section, findings, locate);
  if (template.taper && !template.taper.width && template.taper.thickness === undefined) {
    const advice = 'Give one or both, or leave "taper" out.';
    wrong('empty-taper', ['taper'], 'a width or a thickness at the back', 'neither', advice);
  }
  checkStrands(template, findings, locate);
  checkOutline(template, findings, locate);
  checkMarks(template, findings, locate);
}

/** Reports seams whose middle falls off a band of this width; finer checks need the solids. */
export function checkWidth(template: Template, widthMm: number, findings: Findings, locate: Locate): void {
  let before = -widthMm / 2;
  for (const [name, seam] of Object.entries(template.seams)) {
    const { atMm, field } = middleOf(seamPath(seam, widthMm));
    if (atMm <= before || atMm >= widthMm / 2) {
      findings.add(
        {
          code: 'seam-order',
          path: ['seams', name, field],
          expected: `a place between the seam before it and the edge of a ${widthMm} mm band`,
          received: `${Number((atMm + widthMm / 2).toFixed(3))} mm from the first edge`,
          advice: 'Give it as a share of the width so that it follows the width.',
        },
        locate,
      );
    }
    before = Math.max(before, atMm);
  }
}
