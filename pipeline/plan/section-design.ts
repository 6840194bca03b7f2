import {
  SECTION_NAMES,
  type SectionDesign,
  type SectionName,
  type StepDesign,
  sectionKind,
} from './design.ts';
import type { Findings, Locate } from './findings.ts';
import type { SectionFields, TaperFields } from './section-schema.ts';
import type { TaperDesign } from './width-design.ts';

/** Sagittas that a section name stands for when the file gives none, mm. Common practice for 4–8 mm bands. */
const DOME = 0.3;
const COMFORT = 0.2;
/** What flats fall by when the file gives neither angle nor drop (from memory: chamfers and knife edges of 20–35°). */
const FALL = (25 * Math.PI) / 180;
/** Corners of bevels and ridges when the file gives none, mm: as soft as casters ask of any edge (0.125 mm), and a little. */
const ROUND = 0.15;

/** Which sections have a use for which measures. */
const USES: Record<'dome' | 'comfort' | 'crest' | 'bevel' | 'ridge', (name: SectionName) => boolean> = {
  dome: (name) => sectionKind(name).dome !== 0,
  comfort: (name) => sectionKind(name).comfort,
  crest: (name) => sectionKind(name).dome !== 0 || sectionKind(name).flats !== undefined,
  bevel: (name) => sectionKind(name).flats === 'bevel',
  ridge: (name) => sectionKind(name).flats === 'ridge',
};

/** Whether a section of that name has a use for a key; of other keys and names all. */
export function sectionUses(name: string, key: string): boolean {
  const uses = Object.hasOwn(USES, key) ? USES[key as keyof typeof USES] : undefined;
  return !uses || !SECTION_NAMES.includes(name as SectionName) || uses(name as SectionName);
}

/** A section's measures at one width of the band; angles that follow from a drop are those of `widthMm`. */
export function sectionDesign(s: SectionFields, widthMm: number): SectionDesign {
  const { flats } = sectionKind(s.name);
  const [dome, farDome] = USES.dome(s.name) ? apart(s.dome ?? DOME) : [0];
  const [edge, farEdge] = apart(s.edge);
  const crest = crestOf(s, widthMm);
  return {
    name: s.name,
    domeMm: dome,
    ...(farDome !== undefined && { farDomeMm: farDome }),
    ...(s.crest && flats !== 'bevel' && { crestMm: crest }),
    ...(flats === 'bevel' && { bevel: bevelDesign(s, crest, widthMm) }),
    ...(flats === 'ridge' && { ridge: ridgeDesign(s, crest, widthMm) }),
    ...(s.step && { step: stepDesign(s.step) }),
    comfortMm: USES.comfort(s.name) ? (s.comfort ?? COMFORT) : 0,
    edgeMm: edge,
    ...(farEdge !== undefined && { farEdgeMm: farEdge }),
    boreEdgeMm: s['bore-edge'],
  };
}

/** How a section's places follow a width of the back. */
export function sectionTaper(s: SectionFields, widthMm: number): Pick<TaperDesign, 'crestMm' | 'bevelMm'> {
  const { crestMm, bevel } = sectionDesign(s, widthMm);
  return {
    ...(crestMm !== undefined && { crestMm }),
    ...(bevel && { bevelMm: [bevel.lowMm, bevel.highMm] }),
  };
}

/** Width and thickness of the back; undefined where the band does not taper. */
export function backOf(
  taper: TaperFields | undefined,
  widthMm: number,
  thicknessMm: number,
): { widthMm: number; thicknessMm: number } | undefined {
  if (!taper) return undefined;
  const { width, thickness } = taper;
  return {
    widthMm: width ? width.share * widthMm + width.mm : widthMm,
    thicknessMm: thickness ?? thicknessMm,
  };
}

function apart(value: number | [number, number]): [number, number?] {
  if (typeof value === 'number') return [value];
  return value[0] === value[1] ? [value[0]] : value;
}

/** z of the crest. */
function crestOf({ crest }: SectionFields, widthMm: number): number {
  return crest ? crest.share * widthMm + crest.mm - widthMm / 2 : 0;
}

function stepDesign({ width, depth, soften, edges }: NonNullable<SectionFields['step']>): StepDesign {
  const sides = ({ both: 'both', first: 'low', second: 'high' } as const)[
    edges as 'both' | 'first' | 'second'
  ];
  return { sides, widthMm: width, depthMm: depth, softenMm: soften, footMm: soften };
}

function stepWidths({ step }: SectionFields): [low: number, high: number] {
  const { sides, widthMm } = step ? stepDesign(step) : { sides: 'both', widthMm: 0 };
  return [sides === 'high' ? 0 : widthMm, sides === 'low' ? 0 : widthMm];
}

/** The top keeps its width when the crest moves it: one chamfer narrows, the other widens. Alike if no crest is given. */
function bevelDesign(s: SectionFields, crest: number, widthMm: number): SectionDesign['bevel'] {
  const { width = { share: 0.2, mm: 0 }, angle, drop, round = ROUND } = s.bevel ?? {};
  const broad = width.share * widthMm + width.mm;
  const [low, high] = stepWidths(s);
  const shift = s.crest ? crest - (low - high) / 2 : 0;
  const [lowMm, highMm] = [broad + shift, broad - shift];
  const fall = (chamfer: number) => angle ?? (drop === undefined ? FALL : Math.atan2(drop, chamfer));
  return { lowMm, highMm, lowRad: fall(lowMm), highRad: fall(highMm), roundMm: round };
}

function ridgeDesign(s: SectionFields, crest: number, widthMm: number): SectionDesign['ridge'] {
  const { angle, drop, round = ROUND } = s.ridge ?? {};
  const [low, high] = stepWidths(s);
  const fall = (half: number) => angle ?? (drop === undefined ? FALL : fallOf(drop, half, round));
  return {
    lowRad: fall(crest + widthMm / 2 - low),
    highRad: fall(widthMm / 2 - crest - high),
    roundMm: round,
  };
}

/**
 * The angle α of a tangent to a circle of radius ρ that lies `drop` below its top at the distance h from its middle:
 * drop = ρ − ρ/cos α + h tan α, which is a quadratic in tan(α/2).
 */
function fallOf(drop: number, h: number, rho: number): number {
  return 2 * Math.atan2(drop, h + Math.sqrt(Math.max(0, h * h - drop * (2 * rho - drop))));
}

/** Reports fields that a section of this name has no use for, or that exclude each other. */
export function checkSection(section: SectionFields, findings: Findings, locate: Locate): void {
  const wrong = (field: string[], expected: string, received: string, advice: string) =>
    findings.add(
      { code: 'section-conflict', path: ['section', ...field], expected, received, advice },
      locate,
    );
  const using = (field: keyof typeof USES) => SECTION_NAMES.filter(USES[field]);
  const allBut = (field: keyof typeof USES) => SECTION_NAMES.filter((name) => !USES[field](name));
  const expected = {
    dome: `a section with a curved outside (${using('dome').join(', ')})`,
    comfort: `a section with a domed bore (all but ${allBut('comfort').join(' and ')})`,
    crest: `a section with a crest (all but ${allBut('crest').join(' and ')})`,
    bevel: `the ${using('bevel').join(' or ')} section`,
    ridge: `the ${using('ridge').join(' or ')} section`,
  };
  for (const field of Object.keys(USES) as (keyof typeof USES)[]) {
    if (!section[field] || USES[field](section.name)) continue;
    const advice = `Remove "${field}" or choose another section.`;
    wrong([field], expected[field], `section "${section.name}"`, advice);
  }
  for (const field of ['bevel', 'ridge'] as const) {
    const fall = section[field];
    if (fall?.angle === undefined || fall.drop === undefined) continue;
    wrong([field, 'drop'], '"angle" or "drop"', 'both', 'Leave one of them out: the other follows.');
  }
}
