import type { Findings, Locate } from './findings.ts';
import type { Template } from './template-schema.ts';

/** What has no place on wires. */
const NOT_WITH_STRANDS = ['taper', 'outline', 'flat', 'engraving', 'edges'] as const;

const COUNTS = { twist: [2, 3, 4, 5], braid: [3, 5] } as const;

/** Reports what strands do not go with. */
export function checkStrands(template: Template, findings: Findings, locate: Locate): void {
  const { strands } = template;
  if (!strands) return;
  const wrong = (path: string[], expected: string, received: string, advice: string) =>
    findings.add({ code: 'strands-conflict', path, expected, received, advice }, locate);
  const lanes = Object.entries(template.lanes);
  const counts = COUNTS[strands.kind].map((count) => count + (strands.liner ? 1 : 0));
  if (!counts.includes(lanes.length)) {
    const advice = `Add or remove a lane: ${strands.liner ? 'the first is the liner, each other' : 'each is'} one wire.`;
    const what = strands.liner ? `${strands.kind} on a liner` : strands.kind;
    wrong(['lanes'], `${counts.join(', ')} lanes for a ${what}`, `${lanes.length}`, advice);
  }
  if (strands.liner && strands.clearance !== undefined) {
    const advice = 'Leave "clearance" or "liner" out: loose wires would slide off.';
    wrong(['strands', 'clearance'], 'wires that are joined to their liner', '"clearance"', advice);
  }
  if (strands.turns === undefined && strands.pitch === undefined)
    wrong(['strands'], '"turns" or "pitch"', 'neither', 'Say how often they wind.');
  if (strands.turns !== undefined && strands.pitch !== undefined)
    wrong(['strands', 'pitch'], '"turns" or "pitch"', 'both', 'Leave one of them out.');
  const others = NOT_WITH_STRANDS.filter((key) => template[key] !== undefined);
  const many = (['seams', 'rows', 'gaps'] as const).filter((key) => Object.keys(template[key]).length > 0);
  for (const key of [...others, ...many])
    wrong(
      [key],
      'nothing that asks for a surface of the band',
      `"${key}"`,
      `Leave "${key}" or "strands" out.`,
    );
  if (template.section.name !== 'flat') {
    const advice = 'The wires fill the space of a flat section.';
    wrong(['section', 'name'], '"flat"', `"${template.section.name}"`, advice);
  }
  for (const [name, lane] of lanes) {
    for (const key of ['hammer', 'texture', 'facets', 'inlay'] as const)
      if (lane[key]) wrong(['lanes', name, key], 'a plain wire', `"${key}"`, `Leave "${key}" out.`);
    if (lane.recess > 0) wrong(['lanes', name, 'recess'], '0', `${lane.recess} mm`, 'Leave "recess" out.');
  }
}
